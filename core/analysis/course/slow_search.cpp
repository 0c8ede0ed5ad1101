#include "core/analysis/course/slow_search.hpp"

#include <array>
#include <cmath>
#include <span>
#include <utility>
#include <vector>

#include "core/analysis/course/course_problem.hpp"
#include "core/analysis/readings/rounded_reading.hpp"

namespace nestcup {
namespace {

/// What a search begins with.
struct Slow {
  double share, time_s;
};
constexpr std::array releases{Slow{0.1, 15.0}, Slow{0.1, 100.0}, Slow{0.4, 50.0}, Slow{-0.3, 50.0},
                              Slow{-0.8, 50.0}};
struct Solid {
  double time_s, release_s;
};
constexpr std::array solids{Solid{10.0, 1.0}, Solid{30.0, 1.0}, Solid{30.0, 5.0}, Solid{90.0, 1.0}};
/// Of all heat, what comes slowly beside a pour that mixes at once.
constexpr double mostly = 0.8, at_once_s = 0.3;

/// Without its slow part the leak may have gone far out of the usual to make up for it.
course::Vector beside(const CourseFit& plain, const CoursePrior& prior) {
  course::Vector p = plain.parameters;
  for (const int i : {course::rest_degC, course::log_rate, course::log_ratio}) p(i) = prior.mean(i);
  return p;
}

course::Vector with_slow(course::Vector p, const Slow& slow) {
  p(course::slow_share) = slow.share;
  p(course::log_slow) = std::log(slow.time_s);
  return p;
}

/// Where most of the heat comes slowly, the course without a slow part took its time for the
/// release, or for the lag.
course::Vector mostly_slow(course::Vector p, const CoursePrior& prior) {
  p(course::slow_share) = mostly;
  p(course::log_slow) = std::max(p(course::log_release), p(course::log_lag));
  p(course::log_release) = std::log(at_once_s);
  p(course::log_lag) = prior.mean(course::log_lag);
  return p;
}

/// Roughly from each start, then from the best of them.
CourseFit best_of(CurveView curve, std::span<const course::Vector> starts, const CourseFit& plain,
                  course::Form form, const Noise& noise, const CoursePrior& prior) {
  const CourseProblem rough(grouped_samples(curve, plain.mixing_s()), prior, noise, false, form);
  course::Vector best = plain.parameters;
  double least = INFINITY;
  for (course::Vector p : starts) {
    const double cost = minimise(rough, p);
    if (cost < least) {
      least = cost;
      best = p;
    }
  }
  return fit_course(curve, best, form, noise, prior);
}

}  // namespace

double log_probability(CurveView curve, const MixingCourse& course, const Noise& noise) {
  const double total_K = noise.total_K();
  double sum = 0.0;
  for (const Point& point : curve) {
    const double expected = course.at(point.time_s);
    if (noise.is_coarse()) {
      sum += rounded_likelihood(point.temperature_degC, expected, noise).log_p;
    } else {
      const double z = (point.temperature_degC - expected) / total_K;
      sum -= 0.5 * z * z;
    }
  }
  return sum;
}

CourseFit more_probable(CurveView curve, CourseFit a, CourseFit b, const CoursePrior& prior) {
  const Noise noise = a.noise.total_K() < b.noise.total_K() ? a.noise : b.noise;
  const auto log_of = [&](const CourseFit& fit) {
    double log = log_probability(curve, fit.course(), noise);
    for (int i = 0; i < course::count; ++i) log -= prior.cost(i, fit.parameters(i));
    return log;
  };
  return log_of(a) >= log_of(b) ? std::move(a) : std::move(b);
}

CourseFit fitted_lid(CurveView curve, const CourseFit& plain, const Noise& noise,
                     const CoursePrior& prior) {
  const Slow usual{prior.mean(course::lid_share), std::exp(prior.mean(course::log_lid))};
  const std::array starts{with_slow(beside(plain, prior), usual)};
  return best_of(curve, starts, plain, course::Form::two_releases, noise, prior);
}

CourseFit fitted_release(CurveView curve, const CourseFit& plain, course::Form form,
                         const Noise& noise, const CoursePrior& prior) {
  const course::Vector start = beside(plain, prior);
  std::vector<course::Vector> starts{mostly_slow(start, prior)};
  for (const Slow& release : releases) starts.push_back(with_slow(start, release));
  return best_of(curve, starts, plain, form, noise, prior);
}

CourseFit fitted_solid(CurveView curve, const CourseFit& plain, course::Form form,
                       const Noise& noise, const CoursePrior& prior) {
  std::vector<course::Vector> starts;
  for (const Solid& solid : solids) {
    course::Vector p = beside(plain, prior);
    p(course::log_pour) = std::log(solid.time_s);
    p(course::log_release) = std::log(solid.release_s);
    p(course::log_lag) = prior.mean(course::log_lag);
    starts.push_back(p);
  }
  return best_of(curve, starts, plain, form, noise, prior);
}

}  // namespace nestcup
