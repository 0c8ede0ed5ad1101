#include "tests/bench/nearest_mixing.hpp"

#include <algorithm>
#include <cmath>

#include "core/analysis/course/course_problem.hpp"

namespace nestcup::bench {

double nearest_mixing(CurveView curve, double onset_s, const Noise& noise) {
  const double start_degC = curve.front().temperature_degC;
  const CoursePrior prior = bench_prior(start_degC, onset_s, std::nullopt);
  const CourseProblem problem(single_samples(curve), prior, noise, false,
                              course::Form::one_release);
  double least = INFINITY;
  for (const double pour_s : {2.5, 15.0}) {
    for (const double release_s : {1.0, 5.0, 18.0, 50.0}) {
      course::Vector p = prior.mean;
      p(course::start_degC) = start_degC;
      p(course::rise_K) = curve.back().temperature_degC - start_degC;
      p(course::log_pour) = std::log(pour_s);
      p(course::log_release) = std::log(release_s);
      least = std::min(least, minimise(problem, p));
    }
  }
  return std::sqrt(2.0 * least);
}

}  // namespace nestcup::bench
