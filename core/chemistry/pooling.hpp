// Repeats of one trial, put together.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "core/chemistry/measured.hpp"

namespace nestcup {

/// What repeats say together.
struct Pooled {
  Measured mean;
  std::vector<double> weights;  ///< of the repeats, 1 together
  double chi_squared = 0.0;     ///< of the repeats about their mean, by their own uncertainties
  double probability = 1.0;     ///< of a larger one by chance; 1 for a single repeat
  double scatter = 0.0;         ///< standard deviation between repeats beyond what they state
  [[nodiscard]] bool consistent() const { return scatter == 0.0; }
};

/// Where chance alone gives more scatter in fewer than this share of cases, the repeats are taken
/// to vary by more than they state (common practice).
inline constexpr double least_probability = 0.05;

/// The mean, weighted by what each repeat has of its own; what all share (stock, instrument,
/// calorimeter constant) stays in full. Where repeats scatter by more than they state
/// (chi-squared test), a variance between them is added until they agree: R. C. Paule and J.
/// Mandel, J. Res. Natl. Bur. Stand. 87 (1982) 377-385; it comes in as an input with n - 1 degrees
/// of freedom. Repeats that state nothing of their own are weighted alike.
/// @param repeats  at least one
/// @param name     of what is measured, for that input
[[nodiscard]] Pooled pool(std::span<const Measured> repeats, const std::string& name,
                          Inputs& inputs);

/// The mean of other values of the same repeats, with these weights.
[[nodiscard]] Measured weighted_mean(std::span<const Measured> values,
                                     std::span<const double> weights);

}  // namespace nestcup
