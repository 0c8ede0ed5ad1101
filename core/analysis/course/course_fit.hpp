// The course of a mixing fitted to a run's readings by maximum likelihood.
#pragma once

#include <optional>

#include "core/analysis/course/mixing_course.hpp"
#include "core/analysis/readings/noise.hpp"
#include "core/analysis/readings/point.hpp"

namespace nestcup {

/// What is known of the parameters before the readings are seen: independent normal
/// distributions. A `u` of infinity means nothing.
struct CoursePrior {
  course::Vector mean = course::Vector::Zero();
  course::Vector u = course::Vector::Constant(INFINITY);
  /// Of the rest temperature: degrees of freedom of a Student's t distribution about `mean`, with
  /// `u` as its scale. Infinity: a normal one.
  double rest_dof = INFINITY;
  bool may_be_solid = true;  ///< the heat may come from a solid that dissolves

  /// Minus the logarithm of a parameter's probability density, less that at its mean.
  [[nodiscard]] double cost(int parameter, double value) const;
  /// Its slope over the distance to the mean: the curvature of the normal distribution that pulls
  /// as strongly there.
  [[nodiscard]] double weight(int parameter, double value) const;
};

/// Length of a usual pour, s (common practice).
inline constexpr double usual_pour_s = 2.5;

/// With a solid that dissolves in the place of the pour: within some seconds, as powders do, to
/// minutes, as ribbons and grains (common practice).
[[nodiscard]] CoursePrior solid_prior(CoursePrior prior);

struct CourseFit {
  course::Vector parameters = course::Vector::Zero();
  /// Inverse of the expected information, priors included.
  course::Matrix covariance = course::Matrix::Zero();
  /// Standard uncertainty of the rise that the noise alone would leave, without the rounding, K.
  double u_rise_unrounded_K = 0.0;
  Noise noise;  ///< as the fit found it
  std::size_t readings = 0;
  course::Form form = course::Form::one_release;

  [[nodiscard]] MixingCourse course() const { return {parameters, form}; }
  [[nodiscard]] double rise_K() const { return parameters(course::rise_K); }
  [[nodiscard]] double mixing_s() const { return parameters(course::mixing_s); }
  /// For so long hands were at it, s; of solids nothing is known but what is usual.
  [[nodiscard]] double pour_s() const;
};

/// Weak knowledge of what happens on a bench, as wide as what is met there: pours of a second to
/// some, releases from at once to minutes, probes of one to ten seconds, leaks of lidded and of
/// open cups, a rest temperature within some kelvin of the cup's start (near that of a room probe).
/// @param hint_s  first reading that clearly left the foreperiod
[[nodiscard]] CoursePrior bench_prior(double start_degC, double hint_s,
                                      std::optional<double> room_degC);

/// Temperature before the mixing: the last reading of the foreperiod, degC.
/// @param hint_s  first reading that clearly left the foreperiod
[[nodiscard]] double course_start_degC(CurveView curve, double hint_s);

/// Damped scoring from one start.
/// @param curve  at least 6 readings on both sides of the mixing
/// @param start  parameters to begin with
[[nodiscard]] CourseFit fit_course(CurveView curve, const course::Vector& start, course::Form form,
                                   const Noise& noise, const CoursePrior& prior);

/// The best fit over several starts, with the noise as the fit shows it.
/// @param hint_s  first reading that clearly left the foreperiod
[[nodiscard]] CourseFit best_course(CurveView curve, double hint_s, const Noise& noise,
                                    const CoursePrior& prior);

/// The same by least squares on grouped readings: quick, for a first judgement.
[[nodiscard]] course::Vector rough_course(CurveView curve, double hint_s, const Noise& noise);

}  // namespace nestcup
