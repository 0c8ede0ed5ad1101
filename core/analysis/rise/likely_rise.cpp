#include "core/analysis/rise/likely_rise.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace nestcup {
namespace {

/// What the unknown course of the leak rate during the pour brings: it may change at the start, at
/// the end or evenly in between.
double u_rate_change_K(const CourseFit& fit) {
  const course::Vector& p = fit.parameters;
  const double rate = std::exp(p(course::log_rate));
  const double change = rate * std::expm1(std::abs(p(course::log_ratio)));
  const double pour_s = fit.pour_s(), release_s = std::exp(p(course::log_release));
  const double away = std::abs(p(course::start_degC) - p(course::rest_degC));
  const double share = 1.0 / (2.0 + 4.0 * release_s / pour_s);  // of the rise, mean over the pour
  return change * pour_s * (0.5 * away + share * std::abs(p(course::rise_K))) / std::sqrt(12.0);
}

/// Which courses are how probable.
std::string note_of(const CourseChoice& choice) {
  std::string note;
  for (const SlowPart slow :
       {SlowPart::none, SlowPart::lid, SlowPart::release, SlowPart::both, SlowPart::solid}) {
    double probability = 0.0;
    for (const WeighedCourse& course : choice.courses) {
      if (course.slow == slow) probability += course.probability;
    }
    if (probability < 0.005) continue;
    note += fmt::format("{}{} ({:.0f} %)", note.empty() ? "" : ", ", slow_part_name(slow),
                        100.0 * probability);
  }
  return note;
}

}  // namespace

RiseEstimate likely_rise(CurveView curve, const CourseChoice& choice) {
  RiseEstimate estimate;
  estimate.note = note_of(choice);
  estimate.method = "maximum likelihood, heat leak with pour, release and probe lag";
  estimate.value_K = choice.rise_K();
  double noise_K2 = 0.0, rounding_K2 = 0.0, alike_K2 = 0.0, rate_K2 = 0.0, dof = 0.0;
  for (const WeighedCourse& course : choice.courses) {
    const double p = course.probability, fit_K2 = std::pow(course.u_rise_K(), 2);
    const double u_plain_K = std::sqrt(course.fit.covariance(course::rise_K, course::rise_K));
    const double unrounded = std::min(1.0, course.fit.u_rise_unrounded_K / u_plain_K);
    noise_K2 += p * fit_K2 * unrounded * unrounded;
    rounding_K2 += p * fit_K2 * (1.0 - unrounded * unrounded);
    alike_K2 += p * fit_K2 * (course.lack.surplus() - 1.0);
    rate_K2 += p * std::pow(u_rate_change_K(course.fit), 2);
    const double readings = static_cast<double>(curve.size()) / course.lack.surplus();
    dof += p * std::max(1.0, readings - course::taking_part(course.fit.form));
  }
  estimate.budget = {
      {"scatter of the readings, with all that the course leaves open", std::sqrt(noise_K2), 'A'},
      {"rounding of the display", std::sqrt(rounding_K2), 'B'},
      {"neighbouring readings alike", std::sqrt(alike_K2), 'A'},
      {"what goes on slowly behind the mixing", choice.u_choice_K(), 'B'},
      {"course of the leak rate during the pour", std::sqrt(rate_K2), 'B'}};
  close_budget(estimate);
  estimate.dof = dof;
  return estimate;
}

double main_end_s(const CourseFit& fit, CurveView curve) {
  const MixingCourse course = fit.course();
  const double little_K = 0.2 * fit.noise.total_K();
  const double poured_s = fit.mixing_s() + std::exp(fit.parameters(course::log_pour));
  for (auto point = curve.rbegin(); point != curve.rend(); ++point) {
    const double outstanding_K = course.at(point->time_s) - course.after_at(point->time_s);
    if (point->time_s <= poured_s || std::abs(outstanding_K) > little_K) {
      return point == curve.rbegin() ? point->time_s : std::prev(point)->time_s;
    }
  }
  return curve.front().time_s;
}

HeatLeak leak_of(const CourseFit& fit, double main_end_s) {
  const course::Vector& p = fit.parameters;
  HeatLeak leak;
  leak.mixing_s = fit.mixing_s();
  leak.main_end_s = main_end_s;
  leak.rest_degC = p(course::rest_degC);
  leak.log_rate = p(course::log_rate);
  leak.log_ratio = p(course::log_ratio);
  const MixingCourse course = fit.course();
  leak.start_degC = course.at(std::nextafter(leak.mixing_s, -INFINITY));
  leak.end_degC = course.after_at(main_end_s);
  for (int i = 0; i < HeatLeak::parameter_count - 1; ++i) {
    for (int j = 0; j < HeatLeak::parameter_count - 1; ++j) {
      leak.covariance(i, j) = fit.covariance(i, j);
    }
  }
  const double rise_variance = fit.covariance(course::rise_K, course::rise_K);
  leak.covariance(4, 4) = leak.covariance(0, 0) + rise_variance +
                          2.0 * fit.covariance(course::start_degC, course::rise_K);
  leak.sd_K = fit.noise.total_K();
  leak.dof = std::max(1.0, static_cast<double>(fit.readings) - 9.0);
  return leak;
}

}  // namespace nestcup
