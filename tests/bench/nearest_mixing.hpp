// How near a course without noise comes to some mixing: what no detector can tell from one.
#pragma once

#include "core/analysis/readings/noise.hpp"
#include "core/analysis/readings/point.hpp"

namespace nestcup::bench {

/// Two courses that are d standard deviations of the noise apart, all readings together, are taken
/// for each other by the best of all tests with the normal distribution's probability beyond d/2
/// (Neyman and Pearson, Philosophical Transactions of the Royal Society A 231 (1933) 289). Nearer
/// than this the best test errs once in 30 000 times, either way; a thousand hours and some
/// thousand trials ask for no error at all.
inline constexpr double untellable_distance = 8.0;

/// Distance of a course to the nearest mixing of one pour and one release, in standard deviations
/// of the noise; how unusual that mixing is counts as distance, too.
/// @param course   readings without noise and rounding
/// @param onset_s  about where it leaves the foreperiod
/// @param noise    that the readings would have
[[nodiscard]] double nearest_mixing(CurveView course, double onset_s, const Noise& noise);

}  // namespace nestcup::bench
