// What would pay more: one thing changed at a time, and the results' uncertainties with it.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "tools/forecast/outlook.hpp"

namespace nestcup::forecast {

/// Less than this share of u is not worth a change.
inline constexpr double worth_share = 0.05;

/// What one change makes of the uncertainties, each in the unit of its result.
struct Lever {
  std::string change;                    ///< "cylinder known to 0.125 instead of 0.25 mL"
  std::vector<std::optional<double>> u;  ///< by trial, in the sheet's order
  std::optional<double> u_cycle;
};

/// All changes that can be thought of: every instrument, stock and amount known twice as well,
/// twice as much of what is weighed in (where the same reactant still runs out first and nothing
/// boils), water 10 K warmer for the constant, twice as many runs of a trial, probes calibrated, a
/// longer after period.
/// @param rises  those of the plan
[[nodiscard]] std::vector<Lever> levers(const Plan& plan, const Rises& rises);

/// The changes that bring a result's u down by worth_share at least, the best first.
/// @param u     of the plan as it is
/// @param u_of  a lever's
struct Gain {
  const Lever* lever = nullptr;
  double u = 0.0;
};
[[nodiscard]] std::vector<Gain> gains_of_trial(const std::vector<Lever>& all, std::size_t trial,
                                               double u);
[[nodiscard]] std::vector<Gain> gains_of_cycle(const std::vector<Lever>& all, double u);

}  // namespace nestcup::forecast
