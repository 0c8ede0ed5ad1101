// Where most values lie and how far they spread, blind to a few that lie far off.
#pragma once

#include <optional>
#include <span>
#include <vector>

namespace nestcup {

/// The middle value, or the mean of the two in the middle. @param values  at least one, finite
[[nodiscard]] double median_of(std::span<const double> values);

/// The median of the distances from the median, times 1/Phi^-1(3/4) = 1.4826: an estimate of the
/// standard deviation of normal values. @param values  at least one, finite
[[nodiscard]] double scaled_mad_of(std::span<const double> values);

/// Robust mean and standard deviation.
struct RobustFigures {
  double mean = 0.0;
  double sd = 0.0;
  /// 1.25 sd / sqrt(p), ISO 13528:2022, 7.7.3 (number of the clause from memory): the factor is
  /// that of the median of normal values.
  double u_mean = 0.0;
};

/// Algorithm A of ISO 13528 (annex C): values farther than 1.5 s* from x* count as if they lay at
/// that distance, x* is their mean and s* their standard deviation times 1.134, until neither
/// changes. It is Huber's proposal 2 (P. J. Huber, Robust Statistics, 1981) with k = 1.5. The start
/// is the median with the scaled MAD, or with the standard deviation where more than half of the
/// values are equal.
/// @param values  at least two, finite
[[nodiscard]] RobustFigures algorithm_a(std::span<const double> values);

/// As ISO 13528 prints it: 1 over the standard deviation of standard normal values that are cut at
/// +-1.5, which is 1.1334.
inline constexpr double algorithm_a_factor = 1.134;

}  // namespace nestcup
