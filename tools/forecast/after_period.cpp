#include "tools/forecast/after_period.hpp"

#include <algorithm>
#include <cmath>

#include "core/analysis/course/course_problem.hpp"
#include "tools/forecast/rehearsal.hpp"

namespace nestcup::forecast {
namespace {

/// The middle of what is rehearsed.
course::Vector usual_course(const ExpectedTrial& expected, const SheetTrial& trial,
                            const BenchPlan& bench) {
  course::Vector p = course::Vector::Zero();
  p(course::start_degC) = expected.cup_degC.value();
  p(course::rest_degC) = expected.cup_degC.value() + 0.2;
  p(course::log_rate) = std::log(3e-4);
  p(course::log_ratio) =
      std::clamp(std::log(expected.after_J_per_K / expected.cup_J_per_K), 0.0, 1.5);
  p(course::rise_K) = expected.rise_K.value();
  p(course::log_pour) = std::log(trial.heater ? trial.heater->time_s : 2.0);
  p(course::log_release) = std::log(trial.heater ? 1.0 : usual_release_s(trial));
  p(course::log_lag) = std::log(std::sqrt(bench.least_lag_s * bench.most_lag_s));
  p(course::log_slow) = std::log(30.0);
  return p;
}

/// As core/analysis/METHOD.md, section 4, has it; of the rest temperature as a normal distribution.
CoursePrior usual_prior(const course::Vector& p, const SheetTrial& trial, const BenchPlan& bench) {
  CoursePrior prior = bench_prior(p(course::start_degC), 3.0, std::nullopt);
  prior.u(course::rest_degC) = bench.has_room ? 1.0 : 1.5;
  prior.mean(course::log_rate) = std::log(2.6e-4);
  prior.u(course::log_rate) = 1.0;
  if (trial.heater) {
    prior.mean(course::log_pour) = std::log(100.0);
    prior.u(course::log_pour) = 0.7;
  }
  return prior;
}

}  // namespace

double course_u_K(const ExpectedTrial& expected, const SheetTrial& trial, const BenchPlan& bench,
                  double after_period_s) {
  constexpr double foreperiod_s = 100.0;
  const course::Vector p = usual_course(expected, trial, bench);
  const double slowest_s = std::exp(std::max(p(course::log_release), p(course::log_lag)));
  const double end_s = std::exp(p(course::log_pour)) +
                       main_period_s(expected.rise_K.value(), slowest_s, bench) + after_period_s;
  const MixingCourse course(p, course::Form::one_release);
  Curve curve;
  for (double time_s = -foreperiod_s; time_s <= end_s; time_s += bench.interval_s) {
    const double degC = course.at(time_s);
    const double step_K = bench.step_K;
    curve.push_back({time_s, step_K > 0.0 ? std::round(degC / step_K) * step_K : degC});
  }
  const Noise noise{bench.noise_K, bench.step_K};
  const CourseProblem problem(single_samples(curve), usual_prior(p, trial, bench), noise,
                              noise.is_coarse(), course::Form::one_release);
  const course::Matrix covariance = problem.information(p).inverse();
  return std::sqrt(covariance(course::rise_K, course::rise_K));
}

}  // namespace nestcup::forecast
