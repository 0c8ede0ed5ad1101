// A point of one probe's curve, as the analysis sees it.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace nestcup {

/// One reading on the run's axis.
struct Point {
  double time_s = 0.0;            ///< s, rising strictly along a curve
  double temperature_degC = 0.0;  ///< degC
};

using Curve = std::vector<Point>;
using CurveView = std::span<const Point>;

/// The part of `curve` with from_s <= time < to_s.
[[nodiscard]] CurveView between(CurveView curve, double from_s, double to_s);

/// Temperature at a time between two points, on the straight line through them, degC.
[[nodiscard]] double interpolated_degC(const Point& before, const Point& behind, double time_s);

/// Median spacing of the readings, s; 0 with fewer than two points.
[[nodiscard]] double median_interval_s(CurveView curve);

/// Median of `values` (they are reordered); 0 for none.
[[nodiscard]] double median_of(std::vector<double> values);

/// Every so-many-th point, counted from the last one, so that no more than `most` are left.
[[nodiscard]] Curve thinned(CurveView curve, std::size_t most);

}  // namespace nestcup
