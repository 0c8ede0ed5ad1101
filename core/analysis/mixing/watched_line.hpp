// The line that the cup's readings have followed, and how far from it one may be.
#pragma once

#include <cstddef>
#include <optional>

#include "core/analysis/readings/alike_readings.hpp"
#include "core/analysis/readings/line_fit.hpp"
#include "core/analysis/readings/noise.hpp"
#include "core/analysis/readings/point.hpp"
#include "core/base/clock.hpp"

namespace nestcup {

/// So many of the newest readings tell the scatter of now.
inline constexpr std::size_t noise_points = 64;

/// Where a watched line lies and how far a reading may be from it.
struct WatchedLine {
  TimeUs origin_us = 0;  ///< the fit's times are seconds from here
  LineFit fit;
  Noise noise;
  double own_share = 1.0;  ///< of the readings, that tell something of their own

  /// Whether readings scatter about the line as about their neighbours; alike ones do more.
  [[nodiscard]] bool neighbours_tell_scatter() const;
  [[nodiscard]] double distance_K(TimeUs time_us, double temperature_degC) const;
  /// Distance of one reading that scatter, drift and the fit's own uncertainty explain, K.
  [[nodiscard]] double explained_K(TimeUs time_us) const;
  /// The same of the median of `readings` readings.
  [[nodiscard]] double explained_of_median_K(TimeUs time_us, std::size_t readings) const;
  /// Distance that the line itself can be off at a time: a drift that bends, and its uncertainty.
  [[nodiscard]] double line_off_K(TimeUs time_us) const;
};

/// The line through readings without the far-off ones among them (knocks); nothing where they are
/// no straight line within their scatter.
/// @param base  in order, in seconds from `origin_us`
[[nodiscard]] std::optional<WatchedLine> watched_line(CurveView base, TimeUs origin_us);
/// The same through those alone that tell something of their own.
[[nodiscard]] std::optional<WatchedLine> watched_line(CurveView base, TimeUs origin_us,
                                                      const Alikeness& alikeness);

/// How far readings that share their rounding error can be from a line that has its own, K.
[[nodiscard]] double shared_rounding_K(const Noise& noise);

}  // namespace nestcup
