// The lack-of-fit test: a true course is refused once in a thousand times, a wrong one is seen.
#include "core/analysis/course/lack_of_fit.hpp"

#include <boost/math/distributions/chi_squared.hpp>
#include <cmath>
#include <random>

#include "tests/bench/trial_grid.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

/// What a perfect fit to the trial's readings would be.
CourseFit true_fit(const bench::Trial& trial) {
  CourseFit fit;
  course::Vector& p = fit.parameters;
  p(course::start_degC) = trial.start_degC;
  p(course::rest_degC) = trial.rest_degC;
  p(course::log_rate) = std::log(trial.rate_per_s);
  p(course::log_ratio) = std::log(trial.ratio);
  p(course::rise_K) = trial.rise_K;
  p(course::mixing_s) = trial.mixing_s;
  p(course::log_pour) = std::log(trial.pour_s);
  p(course::log_release) = std::log(trial.release_s);
  p(course::log_lag) = std::log(trial.lag_s);
  fit.noise = {trial.noise_K, trial.step_K};
  return fit;
}

/// Whether chance gives so much less often than once in a thousand times: the parameters are the
/// true ones and not fitted, so that every block counts.
bool is_refused(const LackOfFit& lack) {
  constexpr double taken_off_for_parameters = 7.0;
  const boost::math::chi_squared blocks(lack.dof + taken_off_for_parameters);
  return boost::math::cdf(boost::math::complement(blocks, lack.chi_squared)) < 1e-3;
}

/// How many of 300 drawn trials are refused where the course is off by `off_K` behind the mixing.
int refused(bench::Display display, double off_K) {
  std::mt19937_64 random(5);
  int count = 0;
  for (int i = 0; i < 300; ++i) {
    const bench::Trial trial = drawn_trial(random, display);
    const Curve curve = readings_of(trial, random);
    CourseFit fit = true_fit(trial);
    fit.parameters(course::rise_K) += off_K;
    count += is_refused(lack_of_fit(curve, fit));
  }
  return count;
}

}  // namespace

TEST_CASE("a true course is hardly ever refused, whatever the display") {
  // To be expected is 0.3 of 300. Scores of rounded readings have longer tails than normal ones.
  CHECK(refused(bench::Display::fine, 0.0) <= 2);
  CHECK(refused(bench::Display::coarse, 0.0) <= 4);
}

TEST_CASE("a wrong course is seen by its lack of fit") {
  CHECK(refused(bench::Display::fine, 0.2) >= 250);
  CHECK(refused(bench::Display::coarse, 0.2) >= 250);
}
