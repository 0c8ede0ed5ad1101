// What boards make of their readings before they send them: neighbours are alike then. Shares no
// code with the analysis.
#pragma once

#include <array>

#include "core/analysis/readings/point.hpp"

namespace nestcup::bench {

enum class Firmware {
  holds,    ///< asked four times as often as there is a new value
  means,    ///< mean of the last five readings
  smooths,  ///< goes a fifth of the way to each reading
  middles   ///< median of the last five readings
};

inline constexpr std::array every_firmware{Firmware::holds, Firmware::means, Firmware::smooths,
                                           Firmware::middles};

/// Puts what the board sends, with two decimals, in place of its readings.
void work_on(Firmware firmware, Curve& curve);

}  // namespace nestcup::bench
