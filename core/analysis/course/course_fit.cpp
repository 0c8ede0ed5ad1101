#include "core/analysis/course/course_fit.hpp"

#include <algorithm>
#include <array>
#include <boost/math/tools/minima.hpp>
#include <cmath>

#include "core/analysis/course/course_misfit.hpp"
#include "core/analysis/course/course_problem.hpp"
#include "core/analysis/readings/rounded_reading.hpp"

namespace nestcup {
namespace {

/// Where digits change seldom, the readings alone leave a small noise open: it is not taken to be
/// smaller than this part of the step.
constexpr double least_noise_of_step = 1.0 / 25.0;
constexpr double first_noise_of_step = 1.0 / 3.0;

/// Noise at which the residuals are most likely.
double likely_sd_K(CurveView curve, const MixingCourse& course, const Noise& noise) {
  std::vector<double> expected;
  expected.reserve(curve.size());
  for (const Point& point : curve) expected.push_back(course.at(point.time_s));
  const double centre = std::log(noise.step_K / 8.0);
  const auto cost = [&](double log_sd) {
    // Hardly any knowledge beforehand: a factor of e about an eighth of the step.
    double sum = 0.5 * (log_sd - centre) * (log_sd - centre);
    const Noise tried{std::exp(log_sd), noise.step_K};
    for (std::size_t i = 0; i < curve.size(); ++i) {
      sum -= rounded_likelihood(curve[i].temperature_degC, expected[i], tried).log_p;
    }
    return sum;
  };
  const double low = std::log(noise.step_K * least_noise_of_step);
  return std::exp(
      boost::math::tools::brent_find_minima(cost, low, std::log(2.0 * noise.step_K), 10).first);
}

/// Standard deviation of the readings about the course, its parameters counted off.
double residual_sd_K(CurveView curve, const MixingCourse& course, int parameters) {
  const auto n = static_cast<double>(curve.size());
  return std::sqrt(squares_K2(curve, course) / std::max(1.0, n - parameters));
}

/// @param first  what the readings' distances to their neighbours told: few readings can lie on a
///               course of nine parameters by chance
Noise fitted_noise(CurveView curve, const MixingCourse& course, const Noise& noise,
                   const Noise& first) {
  if (noise.is_coarse()) return {likely_sd_K(curve, course, noise), noise.step_K};
  constexpr double worth = 10.0;  // degrees of freedom that the first estimate counts for
  const double dof = std::max(0.0, static_cast<double>(curve.size()) - 8.0);
  const double seen_K = residual_sd_K(curve, course, 8), first_K = first.total_K();
  const double total = (dof * seen_K * seen_K + worth * first_K * first_K) / (dof + worth);
  const double square = total - noise.step_K * noise.step_K / 12.0;
  return {std::sqrt(std::max(square, 0.04 * total)), noise.step_K};
}

/// Standard uncertainty of the rise had the readings not been rounded.
double unrounded_u_K(CurveView curve, const CourseFit& fit, const CoursePrior& prior) {
  const CourseProblem problem(grouped_samples(curve, fit.mixing_s()), prior, {fit.noise.sd_K, 0.0},
                              false, fit.form);
  const course::Matrix covariance = problem.information(fit.parameters).inverse();
  return std::sqrt(covariance(course::rise_K, course::rise_K));
}

/// Kinds of mixing to begin a fit with: at once, usual, slow; an even ramp over a minute.
struct PourKind {
  double pour_s, release_s;
};
constexpr std::array kinds{PourKind{2.5, 1.0}, PourKind{2.5, 5.0}, PourKind{2.5, 18.0},
                           PourKind{60.0, 3.0}};

/// The best of the least-squares fits to grouped readings, each from another kind.
course::Vector best_start(CurveView curve, double hint_s, const Noise& noise,
                          const CoursePrior& prior) {
  const CourseProblem rough(grouped_samples(curve, hint_s), prior, noise, false,
                            course::Form::one_release);
  course::Vector best = course::Vector::Zero();
  double least = INFINITY;
  for (const PourKind& kind : kinds) {
    course::Vector p = prior.mean;
    p(course::start_degC) = course_start_degC(curve, hint_s);
    p(course::rise_K) = curve.back().temperature_degC - p(course::start_degC);
    p(course::mixing_s) = hint_s - 2.0;
    p(course::log_pour) = std::log(kind.pour_s);
    p(course::log_release) = std::log(kind.release_s);
    const double cost = minimise(rough, p);
    if (cost < least) {
      least = cost;
      best = p;
    }
  }
  return best;
}

}  // namespace

double CoursePrior::cost(int parameter, double value) const {
  const double z = (value - mean(parameter)) / u(parameter);
  if (parameter != course::rest_degC || !std::isfinite(rest_dof)) return 0.5 * z * z;
  return 0.5 * (rest_dof + 1.0) * std::log1p(z * z / rest_dof);
}

double CoursePrior::weight(int parameter, double value) const {
  const double normal = 1.0 / (u(parameter) * u(parameter));
  if (parameter != course::rest_degC || !std::isfinite(rest_dof)) return normal;
  const double z = (value - mean(parameter)) / u(parameter);
  return normal * (rest_dof + 1.0) / (rest_dof + z * z);
}

CoursePrior bench_prior(double start_degC, double hint_s, std::optional<double> room_degC) {
  CoursePrior prior;
  const auto know = [&](int parameter, double mean, double u) {
    prior.mean(parameter) = mean;
    prior.u(parameter) = u;
  };
  know(course::rest_degC, room_degC.value_or(start_degC), room_degC ? 1.0 : 4.0);
  know(course::mixing_s, hint_s - 3.0, 20.0);
  know(course::log_rate, std::log(3e-4), std::log(4.0));
  know(course::log_ratio, 0.35, 0.35);
  know(course::log_pour, std::log(usual_pour_s), 0.7);
  know(course::log_release, std::log(3.0), 1.4);
  know(course::log_lag, std::log(3.5), 0.8);
  know(course::slow_share, 0.0, 0.5);
  know(course::log_slow, std::log(30.0), 1.0);
  // A lid and the inner foam have 5 to 30 J/K, a cup's contents 200 to 500; they follow within half
  // a minute to some minutes.
  know(course::lid_share, -0.04, 0.04);
  know(course::log_lid, std::log(95.0), 0.7);
  return prior;
}

CoursePrior solid_prior(CoursePrior prior) {
  prior.mean(course::log_pour) = std::log(30.0);
  prior.u(course::log_pour) = 0.8;
  return prior;
}

double CourseFit::pour_s() const {
  return course::solid_of(form) ? usual_pour_s : std::exp(parameters(course::log_pour));
}

double course_start_degC(CurveView curve, double hint_s) {
  const CurveView fore = between(curve, curve.front().time_s, hint_s - 5.0);
  return (fore.empty() ? curve.front() : fore.back()).temperature_degC;
}

CourseFit fit_course(CurveView curve, const course::Vector& start, course::Form form,
                     const Noise& noise, const CoursePrior& prior) {
  CourseFit fit;
  fit.form = form;
  fit.readings = curve.size();
  fit.noise = noise;
  fit.parameters = start;
  // A display that hides the noise shows none: begun with much of it, the fit finds its way from
  // the rounded course to the changes of the last digit.
  fit.noise.sd_K = std::max(fit.noise.sd_K, first_noise_of_step * fit.noise.step_K);
  // Grouped readings lead near the end at a fraction of the cost; rounded ones stand for
  // themselves.
  const auto problem_of = [&](bool whole) {
    const bool coarse = fit.noise.is_coarse();
    return CourseProblem(
        whole || coarse ? single_samples(curve) : grouped_samples(curve, fit.mixing_s()), prior,
        fit.noise, coarse, form);
  };
  for (int turn = 0; turn < 8; ++turn) {
    minimise(problem_of(false), fit.parameters);
    const double before_K = fit.noise.sd_K;
    fit.noise = fitted_noise(curve, fit.course(), fit.noise, noise);
    if (std::abs(fit.noise.sd_K - before_K) < 0.02 * before_K) break;
  }
  const CourseProblem problem = problem_of(true);
  minimise(problem, fit.parameters, 1e-8);
  fit.covariance = problem.information(fit.parameters).inverse();
  fit.u_rise_unrounded_K = unrounded_u_K(curve, fit, prior);
  return fit;
}

CourseFit best_course(CurveView curve, double hint_s, const Noise& noise,
                      const CoursePrior& prior) {
  const course::Vector start = best_start(curve, hint_s, noise, prior);
  return fit_course(curve, start, course::Form::one_release, noise, prior);
}

course::Vector rough_course(CurveView curve, double hint_s, const Noise& noise) {
  const double start_degC = course_start_degC(curve, hint_s);
  return best_start(curve, hint_s, noise, bench_prior(start_degC, hint_s, std::nullopt));
}

}  // namespace nestcup
