// A pour into contents that grow with it, against the balance of heats, and how it is found.
#include "core/analysis/course/thinned_pour.hpp"

#include <algorithm>
#include <cmath>

#include "sim/one_trial.hpp"
#include "tests/analysis/followed.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

constexpr double pour_s = 4.0;
/// Next to no delay and no leak: the pour alone.
constexpr ResponseTimes pour_alone{pour_s, 1e-4, 2e-4, 1e-7};

/// Largest distance to what inflow of heat capacity `ratio` - 1 does to contents of 1.
double farthest_off(const ThinnedPour& pour, double ratio) {
  double farthest = 0.0;
  for (double part = 0.0; part <= 1.0; part += 0.01) {
    const double inflow = (ratio - 1.0) * part;
    const double wanted = inflow / (1.0 + inflow) * ratio / (ratio - 1.0);
    farthest = std::max(farthest, std::abs(pour.value_at(part * pour_s) - wanted));
  }
  return farthest;
}

}  // namespace

TEST_CASE("a thinned pour comes close to the balance of heats") {
  CHECK(farthest_off(ThinnedPour(pour_alone, std::log(1.4)), 1.4) < 0.025);
  CHECK(farthest_off(ThinnedPour(pour_alone, std::log(2.0)), 2.0) < 0.05);
  CHECK(farthest_off(ThinnedPour(pour_alone, std::nullopt), 2.0) > 0.15);
}

TEST_CASE("contents that do not grow are warmed evenly, and all of the heat comes in the end") {
  const ResponseTimes times{pour_s, 2.0, 3.0, 3e-4};
  const ThinnedPour even(times, std::nullopt), still(times, 0.0), thinned(times, std::log(2.0));
  for (const double since_s : {-1.0, 0.5, 2.0, 5.0, 30.0}) {
    INFO(since_s);
    CHECK(std::abs(still.value_at(since_s) - even.value_at(since_s)) < 1e-12);
    CHECK(std::abs(still.settled(since_s) - even.settled(since_s)) < 1e-12);
    CHECK(std::abs(thinned.at(since_s).value - thinned.value_at(since_s)) < 1e-12);
  }
  CHECK(thinned.value_at(2.0) > 1.1 * even.value_at(2.0));
  CHECK(std::abs(thinned.value_at(120.0) - thinned.settled(120.0)) < 1e-9);
  // It came earlier by a part of the pour, and so has leaked for a little longer.
  CHECK(std::abs(thinned.settled(0.0) / even.settled(0.0) - 1.0) < times.rate_per_s * pour_s);
}

TEST_CASE("a quick probe that shows how a pour is thinned is no carried or moved one", "[many]") {
  sim::OneTrial trial;
  trial.rise_K = GENERATE(0.85, -3.0, 12.0);
  trial.leak_before_per_s = 6e-4;
  trial.leak_after_per_s = 3e-4;
  trial.pour_s = GENERATE(4.0, 5.0);
  trial.release_s = 0.6;
  trial.lag_s = 1.1;
  trial.interval_s = 0.2;
  trial.noise_K = 0.005;
  trial.step_K = 0.001;
  const double second_share = GENERATE(0.0, -0.4, 0.4);
  for (std::uint64_t seed = 1; seed <= 2; ++seed) {
    trial.seed = seed;
    INFO("rise " << trial.rise_K << " K, pour " << trial.pour_s << " s, seed " << seed);
    INFO("and " << second_share << " of it slowly");
    sim::Scenario scenario = sim::one_trial_scenario(trial);
    sim::Mix& mix = std::get<sim::Mix>(scenario.events.front().what);
    mix.second_heat_J = second_share * mix.heat_J;
    mix.second_release_s = 60.0;
    CHECK(followed(bench_readings(simulate(scenario, seed))).size() == 1);
  }
}
