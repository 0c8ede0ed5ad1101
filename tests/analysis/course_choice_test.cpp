// What goes on slowly behind a mixing: a lid that warms, a second step, or nothing.
#include "core/analysis/course/course_choice.hpp"

#include <algorithm>
#include <cmath>

#include "core/analysis/mixing/candidate.hpp"
#include "core/analysis/run/run_analysis.hpp"
#include "sim/one_trial.hpp"
#include "tests/analysis/followed.hpp"
#include "tests/catch.hpp"

using namespace nestcup;
using Catch::Matchers::WithinAbs;

namespace {

sim::Scenario one_trial(std::uint64_t seed) {
  sim::OneTrial trial;
  trial.seed = seed;
  return sim::one_trial_scenario(trial);
}

sim::Mix& mix_of(sim::Scenario& scenario) {
  return std::get<sim::Mix>(scenario.events.front().what);
}

struct Weighed {
  CourseChoice choice;
  double truth_K = 0.0;
};

Weighed weighed(const sim::Scenario& scenario) {
  const sim::SimulatedRun run = sim::simulate(scenario, scenario.seed);
  Curve curve;
  for (std::size_t i = 0; i < run.time_s.size(); ++i) {
    curve.push_back({run.time_s[i], run.probes[0].temperature_degC[i]});
  }
  const double mixing_s = run.truth.front().mixing_time_s;
  const CoursePrior prior = bench_prior(curve.front().temperature_degC, mixing_s + 2.0, {});
  return {weighed_courses(curve, mixing_s + 2.0, estimate_run_noise(curve, mixing_s - 5.0), prior),
          run.truth.front().corrected_rise_K};
}

double probability_of(const CourseChoice& choice, SlowPart slow) {
  double sum = 0.0;
  for (const WeighedCourse& course : choice.courses) {
    if (course.slow == slow) sum += course.probability;
  }
  return sum;
}

/// Distance from the truth in standard uncertainties of courses and choice.
double off(const Weighed& weighed) {
  double square = std::pow(weighed.choice.u_choice_K(), 2);
  for (const WeighedCourse& course : weighed.choice.courses) {
    square += course.probability * course.u_rise_K() * course.u_rise_K();
  }
  return (weighed.choice.rise_K() - weighed.truth_K) / std::sqrt(square);
}

}  // namespace

TEST_CASE("where nothing is slow, the course without a slow part is the most probable") {
  int plain = 0;
  for (std::uint64_t seed = 1; seed <= 12; ++seed) {
    const Weighed result = weighed(one_trial(seed));
    plain += result.choice.best().slow == SlowPart::none ? 1 : 0;
    CHECK_THAT(off(result), WithinAbs(0.0, 3.0));
    double sum = 0.0;
    for (const WeighedCourse& course : result.choice.courses) sum += course.probability;
    CHECK_THAT(sum, WithinAbs(1.0, 1e-12));
  }
  CHECK(plain >= 10);
}

TEST_CASE("the rise is the median of the courses', and far-off ones widen the uncertainty") {
  const auto course = [](double rise_K, double u_K, double probability) {
    WeighedCourse weighed;
    weighed.fit.parameters(course::rise_K) = rise_K;
    weighed.fit.covariance(course::rise_K, course::rise_K) = u_K * u_K;
    weighed.probability = probability;
    return weighed;
  };
  const CourseChoice one{{course(5.0, 0.01, 1.0)}};
  CHECK(one.rise_K() == 5.0);
  CHECK(one.u_choice_K() == 0.0);
  // Two alike, symmetric about their middle.
  const CourseChoice even{{course(5.0, 0.01, 0.5), course(5.1, 0.01, 0.5)}};
  CHECK_THAT(even.rise_K(), WithinAbs(5.05, 1e-9));
  CHECK_THAT(even.u_choice_K(), WithinAbs(0.05, 1e-9));
  // One at a tenth, wherever above the other: Phi(z) = 0.5/0.9 at z = 0.13971. To hold 95.45 % it
  // takes more than the root of the mean square: all of the near one, and 0.5450 of the far one,
  // Phi(z) = 0.5450 at z = 0.11304.
  for (const double far_K : {0.1, 1.0}) {
    const CourseChoice skewed{{course(5.0, 0.01, 0.9), course(5.0 + far_K, 0.01, 0.1)}};
    CHECK_THAT(skewed.rise_K(), WithinAbs(5.0 + 0.01 * 0.13971, 1e-7));
    const double half_K = 0.5 * (far_K + 0.01 * (0.11304 - 0.13971));
    CHECK_THAT(skewed.u_choice_K(), WithinAbs(std::sqrt(half_K * half_K - 1e-4), 1e-5));
  }
  // At a fiftieth it need not be held, but still counts. Phi(z) = 0.5/0.98 at z = 0.02558.
  const CourseChoice rare{{course(5.0, 0.01, 0.98), course(6.0, 0.01, 0.02)}};
  CHECK_THAT(rare.u_choice_K(), WithinAbs(std::sqrt(0.02) * (1.0 - 0.01 * 0.02558), 1e-6));
}

TEST_CASE("what a lid takes up does not count to the rise") {
  for (std::uint64_t seed = 1; seed <= 6; ++seed) {
    sim::Scenario scenario = one_trial(seed);
    scenario.lid = sim::LidSettings{15.0, 15.0 / 60.0, 0.0};
    const Weighed result = weighed(scenario);
    CHECK(probability_of(result.choice, SlowPart::lid) > 0.5);
    CHECK_THAT(off(result), WithinAbs(0.0, 3.0));
    // Without it the rise would be too small by more than the uncertainty.
    const WeighedCourse& best = result.choice.best();
    REQUIRE(best.slow == SlowPart::lid);
    CHECK(best.rise_K() - best.fit.rise_K() > 3.0 * best.u_rise_K());
  }
}

TEST_CASE("a lid that follows a slow release is freed of both") {
  for (const double release_s : {8.0, 16.0}) {
    sim::OneTrial trial;
    trial.release_s = release_s;
    trial.lag_s = 1.0;
    trial.noise_K = 0.001;
    trial.step_K = 0.001;
    trial.interval_s = 0.2;
    sim::Scenario scenario = sim::one_trial_scenario(trial);
    scenario.lid = sim::LidSettings{15.0, 15.0 / 60.0, 0.0};
    const Weighed result = weighed(scenario);
    const auto lid =
        std::find_if(result.choice.courses.begin(), result.choice.courses.end(),
                     [](const WeighedCourse& course) { return course.slow == SlowPart::lid; });
    REQUIRE(lid != result.choice.courses.end());
    CAPTURE(release_s, lid->u_rise_K());
    CHECK_THAT(lid->rise_K(), WithinAbs(result.truth_K, 3.0 * lid->u_rise_K()));
    // The second release's share alone would give too much, the more so the slower the first is.
    const double share = lid->fit.parameters(course::slow_share);
    const double surplus_K = lid->fit.rise_K() * (1.0 - share) - result.truth_K;
    CHECK(surplus_K > 0.03 * release_s / 60.0 * result.truth_K);
    CHECK(std::abs(lid->rise_K() - result.truth_K) < 0.7 * surplus_K);
  }
}

TEST_CASE("cups near the room's temperature are expected, and others are believed") {
  CoursePrior prior = bench_prior(21.0, 90.0, std::nullopt);
  CHECK_THAT(prior.cost(course::rest_degC, 29.0), WithinAbs(2.0, 1e-12));
  CHECK_THAT(prior.weight(course::rest_degC, 29.0), WithinAbs(1.0 / 16.0, 1e-12));
  prior.u(course::rest_degC) = 1.5;
  prior.rest_dof = 3.0;
  for (const double rest_degC : {20.0, 21.5, 41.0}) {
    // The weight is the slope of the cost over the distance; Student's density is the cost.
    constexpr double by = 1e-5;
    const double slope = (prior.cost(course::rest_degC, rest_degC + by) -
                          prior.cost(course::rest_degC, rest_degC - by)) /
                         (2.0 * by);
    CHECK_THAT(prior.weight(course::rest_degC, rest_degC) * (rest_degC - 21.0),
               WithinAbs(slope, 1e-7));
    const double z = (rest_degC - 21.0) / 1.5;
    CHECK_THAT(std::exp(-prior.cost(course::rest_degC, rest_degC)),
               WithinAbs(std::pow(1.0 + z * z / 3.0, -2.0), 1e-12));
  }
  // Twenty kelvin above or below the room.
  for (const double start_degC : {1.0, 41.0}) {
    for (std::uint64_t seed = 1; seed <= 4; ++seed) {
      sim::OneTrial trial;
      trial.seed = seed;
      trial.room_degC = 21.0;
      trial.start_degC = start_degC;
      const sim::SimulatedRun run = sim::simulate(sim::one_trial_scenario(trial), seed);
      const BenchReadings bench = bench_readings(run);
      const std::vector<FinishedRun> runs = followed(bench);
      REQUIRE(runs.size() == 1);
      const RunAnalysis result = analyse_run(run_input(runs.front(), bench.roles));
      CAPTURE(start_degC, seed, result.rise.u_K);
      CHECK_THAT(result.rise.value_K,
                 WithinAbs(run.truth.front().corrected_rise_K, 3.0 * result.rise.u_K));
      CHECK(result.rise.u_K < 0.02 * std::abs(result.rise.value_K));
      const double u_rest_K = std::sqrt(result.leak->covariance(1, 1));
      CHECK_THAT(result.leak->rest_degC, WithinAbs(21.0, 3.0 * u_rest_K));
    }
  }
}

TEST_CASE("the heat of a second, slower step counts to the rise, either sign") {
  for (const double share : {0.3, -0.35}) {
    for (std::uint64_t seed = 1; seed <= 4; ++seed) {
      sim::Scenario scenario = one_trial(seed);
      sim::Mix& mix = mix_of(scenario);
      mix.second_heat_J = share * mix.heat_J;
      mix.second_release_s = 40.0;
      const Weighed result = weighed(scenario);
      // A lid beside it changes the rise by little, and can be told by little.
      CHECK(probability_of(result.choice, SlowPart::release) +
                probability_of(result.choice, SlowPart::both) >
            0.9);
      CHECK_THAT(off(result), WithinAbs(0.0, 3.0));
    }
  }
}

TEST_CASE("a second step against the first is a mixing and no moved probe") {
  for (const double share : {0.4, -0.4}) {
    sim::Scenario scenario = one_trial(3);
    sim::Mix& mix = mix_of(scenario);
    mix.second_heat_J = share * mix.heat_J;
    mix.second_release_s = 60.0;
    const sim::SimulatedRun run = sim::simulate(scenario, scenario.seed);
    CHECK(followed(bench_readings(run)).size() == 1);
  }
}

TEST_CASE("the second vessel's temperature is freed of its probe's lag") {
  sim::Scenario scenario = one_trial(5);
  scenario.added = {60.0, 5e-4};
  sim::ProbeSettings probe = scenario.probes.front();
  probe.name = "added";
  probe.place = sim::Place::added;
  probe.lag_s = 8.0;
  scenario.probes.push_back(probe);
  sim::Mix& mix = mix_of(scenario);
  mix.from = sim::Source::added;
  mix.added_J_per_K = 60.0;
  mix.heat_J = 0.0;
  const sim::SimulatedRun run = sim::simulate(scenario, scenario.seed);
  const BenchReadings bench = bench_readings(run);
  const auto runs = followed(bench);
  REQUIRE(runs.size() == 1);
  const RunAnalysis result = analyse_run(run_input(runs[0], bench.roles));
  REQUIRE(result.added_at_mixing_degC);
  const Uncertain& added = *result.added_at_mixing_degC;
  const double error_K = added.value - run.truth.front().added_degC.value();
  // The drift is 19 mK/s: the reading lags 150 mK behind.
  CHECK(std::abs(error_K) < 2.0 * added.u);
  CHECK(added.u < 0.1);
}
