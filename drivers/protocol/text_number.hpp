// One number of a text line.
#pragma once

#include <optional>
#include <string_view>

#include "core/sheet/port_settings.hpp"
#include "drivers/protocol/protocol.hpp"

namespace nestcup::drivers {

/// A finite number, or why there is none (bad_number, not_finite).
struct TextNumber {
  double value = 0.0;
  std::optional<LineFault> fault;
};

/// The number that `field` is as a whole, without regard to any locale. The other decimal mark,
/// two marks, or anything before or behind the number is bad_number.
[[nodiscard]] TextNumber read_text_number(std::string_view field, Decimal decimal);

}  // namespace nestcup::drivers
