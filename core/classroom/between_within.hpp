// How much of the spread is between benches, and how much within each.
#pragma once

#include <optional>
#include <span>
#include <vector>

namespace nestcup {

/// One-way analysis of variance with unequal numbers of runs, as ISO 5725-2:2019 has it for
/// laboratories (7.4 in the edition of 1994; number of the clause from memory):
///
///     s_r^2 = MS_within      s_L^2 = max(0, (MS_between - MS_within) / n)
///     s_R^2 = s_r^2 + s_L^2  n = (N - sum n_i^2 / N) / (p - 1)
///
/// for N runs of p benches.
struct BetweenWithin {
  double mean = 0.0;                ///< of all runs
  double repeatability_sd = 0.0;    ///< s_r: between runs of one bench
  double between_sd = 0.0;          ///< s_L: between benches
  double reproducibility_sd = 0.0;  ///< s_R: between single runs of different benches
  double squares_between = 0.0, squares_within = 0.0;
  double dof_between = 0.0, dof_within = 0.0;
  double probability = 1.0;  ///< of so much between benches by chance (F test)
};

/// @param groups  the runs of each bench; benches without runs are left out
/// @return nothing for less than two benches, or where no bench has two runs
[[nodiscard]] std::optional<BetweenWithin> between_within(
    std::span<const std::vector<double>> groups);

}  // namespace nestcup
