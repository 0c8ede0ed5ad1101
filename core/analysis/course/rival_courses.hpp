// What else than a mixing may have given a candidate's readings, weighed against it.
#pragma once

#include <algorithm>
#include <cmath>

#include "core/analysis/course/mixing_course.hpp"
#include "core/analysis/readings/noise.hpp"
#include "core/analysis/readings/point.hpp"

namespace nestcup {

/// What is weighed: logarithms of the evidence (log_evidence.hpp) for each kind of course.
struct RivalCourses {
  double mixing = -INFINITY;
  /// Surroundings that change for a while: a heater, a bath, a draught, a lid that is off.
  double passing = 0.0;
  /// A probe in air, which follows from the first moment on and is drawn down while it is wet.
  double in_air = 0.0;
  /// A probe that plunges into another liquid: it, too, begins with a kink.
  double plunge = 0.0;
  /// A probe that comes through air and shows it, from a cup or after a while in air.
  double carried = 0.0;
  /// Root of the mean square of the readings about the best course of a mixing, K.
  double misfit_K = 0.0;
  double surplus = 1.0;  ///< square of it over that of the scatter: so much less does a lead count
  course::Vector parameters = course::Vector::Zero();  ///< of the best course of a mixing
  course::Form form = course::Form::one_release;       ///< its form

  [[nodiscard]] MixingCourse mixing_course() const { return {parameters, form}; }
  /// Whether no rival is clearly more probable than a mixing.
  [[nodiscard]] bool allow_mixing() const;
  /// Whether a mixing is clearly more probable than every rival.
  [[nodiscard]] bool ask_for_mixing() const;
  [[nodiscard]] double best_rival() const { return std::max({passing, in_air, plunge, carried}); }
  [[nodiscard]] bool passing_is_best() const { return passing > in_air && passing > plunge; }
};

/// @param curve    the readings before, during and after
/// @param onset_s  first reading that clearly left the foreperiod
[[nodiscard]] RivalCourses weigh_rivals(CurveView curve, double onset_s, const Noise& noise);

/// Weighs a pour, too, each portion of which warms more contents than the one before: a quick probe
/// shows it where the even pour of the other courses does not fit.
void weigh_thinned_pour(CurveView curve, double onset_s, const Noise& noise, RivalCourses& rivals);

/// The same for what a solid sets free that dissolves.
void weigh_solids(CurveView curve, double onset_s, const Noise& noise, RivalCourses& rivals);

/// Whether the heat sets in gently, grows and fades within a minute, as of a solid that has to lose
/// a skin first, and every rival explains that much worse: whatever moves a probe begins with a
/// kink. Its course is near the true one only, which may lie off by `limit_K` (root mean square).
[[nodiscard]] bool sets_in_gently(CurveView curve, double onset_s, const Noise& noise,
                                  double limit_K, const RivalCourses& rivals);

}  // namespace nestcup
