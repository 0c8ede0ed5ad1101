// Heat-leak rates of a class beside each other: what a lid left off shows in.
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/classroom/class_bench.hpp"

namespace nestcup {

/// A run whose leak rate is far above those of the same trial at the other benches.
struct FarLeak {
  std::string label;  ///< of the run
  std::string trial;
  double rate_per_s = 0.0;
  double ratio = 1.0;                  ///< to the class's median of this trial
  std::optional<double> rest_above_K;  ///< where it drifts to, less the class's median of the trial
};

struct LeakBeside {
  std::size_t bench = 0;
  std::size_t runs = 0;  ///< with a leak rate
  double ratio = 1.0;    ///< median over its runs of the ratio to the class's median of the trial
  std::vector<FarLeak> far;
};

/// A run counts as far where its rate is more than far_leak_ratio times the median of its trial,
/// and the logarithm of that ratio lies more than farthest_z robust standard deviations of all
/// runs' ratios (at least 10 %), with the u of the run's own rate, above 0. A bench whose runs are
/// far together need not be so in each: the median of its ratios is held in the same way against
/// those of the benches, with farthest_z, or with three standard deviations and a factor of 1.4
/// where it also drifts to more than 1.5 K less than the others, as a cup does from which water
/// evaporates. Then all its runs count as far whose rate is 1.3 times the usual one or more.
inline constexpr double far_leak_ratio = 1.6;

/// @param class_of_benches  of one sheet
/// @return one for each bench that has a rate in a trial that three benches or more have; none is
///         far in a class of less than four benches
[[nodiscard]] std::vector<LeakBeside> leaks_beside(std::span<const ClassBench> class_of_benches);

}  // namespace nestcup
