// Runs in which nothing went wrong have no finding: shipped scenarios, drawn trials, and probes in
// vessels of their own.
#include <algorithm>
#include <cmath>
#include <map>

#include "tests/analysis/newton_cup.hpp"
#include "tests/analysis/provoked.hpp"
#include "tests/bench/trial_result.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

/// How long the readings go on after the approach to the slow drift has sunk to a fifth of the
/// noise: the longest of pour, release and lag decide, from the truth.
double after_period_s(const bench::Trial& trial) {
  const double slow_s = std::max(trial.release_s, trial.lag_s);
  const double quick_s = std::min(trial.release_s, trial.lag_s);
  const double noise_K = std::hypot(trial.noise_K, trial.step_K / std::sqrt(12.0));
  // Two first-order delays in a row: the slower one's rest is enlarged by the quicker one.
  const double enlarged = slow_s / std::max(0.1 * slow_s, slow_s - quick_s);
  const double main_s =
      trial.pour_s + slow_s * std::log(enlarged * std::abs(trial.rise_K) / (0.2 * noise_K));
  return trial.end_s - trial.mixing_s - main_s;
}

/// Findings by code over many drawn trials; a short after period counts where it is none.
std::map<std::string, int> findings_of_drawn(bench::Display display, int trials,
                                             std::uint64_t seed) {
  constexpr double short_after_s = 0.6 * 180.0, about_s = 25.0;
  std::mt19937_64 random(seed);
  std::map<std::string, int> codes;
  for (int i = 0; i < trials; ++i) {
    const bench::Trial trial = drawn_trial(random, display);
    for (const bench::FollowedRun& run : bench::followed_runs(readings_of(trial, random))) {
      for (const Finding& finding : analyse_run(run.input).findings) {
        const bool deserved =
            finding.code == "short-after-period" && after_period_s(trial) < short_after_s + about_s;
        if (!deserved) ++codes[finding.code];
      }
    }
  }
  return codes;
}

std::string listed(const std::map<std::string, int>& codes) {
  std::string text;
  for (const auto& [code, count] : codes) text += code + " " + std::to_string(count) + "; ";
  return text;
}

/// The second probe stands in other water, near the cup's in temperature, from before the mixing to
/// the end.
sim::Scenario apart(double added_degC, double leak_per_s) {
  sim::Scenario scenario = dissolving(2700.0, 5.0);
  scenario.added = {added_degC, leak_per_s};
  scenario.probes[1].offset_K = 0.2;
  return scenario;
}

void check_no_disagreement(const sim::Scenario& scenario) {
  for (std::uint64_t seed = 1; seed <= 5; ++seed) {
    INFO("seed " << seed);
    const auto runs = analyses_of(scenario, seed);
    REQUIRE_FALSE(runs.empty());
    for (const RunAnalysis& run : runs) CHECK(finding_in(run, "probes-disagree") == nullptr);
  }
}

}  // namespace

TEST_CASE("shipped scenarios of good work have no finding", "[many]") {
  for (const char* name : {"one-trial", "carried-probe", "polled", "heater"}) {
    RunFollower::Settings settings;
    settings.heater = std::string(name) == "heater";
    for (std::uint64_t seed = 1; seed <= 15; ++seed) {
      INFO(name << ", seed " << seed);
      const auto runs = analyses_of(shipped_scenario(name), seed, {}, settings);
      REQUIRE(runs.size() == 1);
      for (const Finding& finding : runs[0].findings) FAIL_CHECK(finding.code);
      CHECK(runs[0].usable());
    }
  }
}

TEST_CASE("drawn trials on a fine display have no finding without its reason", "[many]") {
  constexpr int trials = 150;
  auto codes = findings_of_drawn(bench::Display::fine, trials, 4101);
  INFO(listed(codes));
  // A slow release behind which three minutes in all leave next to no after period: the rise is
  // uncertain by a tenth, and says so. The lack-of-fit test refuses one good course in a thousand.
  CHECK(codes["rise-small"] <= 2);
  CHECK(codes["model-does-not-fit"] <= 2);
  codes.erase("rise-small");
  codes.erase("model-does-not-fit");
  CHECK(listed(codes).empty());
}

TEST_CASE("drawn trials on a coarse display have few findings", "[many]") {
  constexpr int trials = 16;  // seconds each
  auto codes = findings_of_drawn(bench::Display::coarse, trials, 4102);
  INFO(listed(codes));
  // Where a tenth of a degree is the last digit, its steps pass for another onset, or for a slow
  // release, in one run of a hundred. A rise of half a kelvin has ten times its uncertainty or not.
  const std::map<std::string, int> most{{"model-does-not-fit", 1},
                                        {"mixing-slow", 2},
                                        {"cut-short", 2},
                                        {"short-after-period", 2},
                                        {"rise-small", 3}};
  for (const auto& [code, count] : codes) {
    INFO(code);
    const auto bound = most.find(code);
    REQUIRE(bound != most.end());
    CHECK(count <= bound->second);
  }
}

TEST_CASE("a temperature on the edge between two digits is no frozen source") {
  NewtonCup cup;
  cup.start_degC = cup.rest_degC = 21.03125;  // between 21 and 21.0625
  cup.releases = {{-1.03125, 2.0}};
  cup.lag_s = 3.0;
  cup.interval_s = 2.0;
  cup.end_s = 330.0;
  cup.after_rate_per_s = 1e-6;
  for (std::uint64_t seed = 1; seed <= 5; ++seed) {
    const Curve curve = with_noise(newton_curve(cup), 0.005, 0.0625, seed);
    const auto runs = bench::followed_runs(curve);
    REQUIRE(runs.size() == 1);
    CHECK(finding_in(analyse_run(runs[0].input), "frozen-source") == nullptr);
  }
}

TEST_CASE("vessels of their own never look like probes that disagree", "[many]") {
  SECTION("waters as warm as each other, and as the room") {
    check_no_disagreement(apart(21.1, 4e-4));
  }
  SECTION("waters that cool side by side") {
    for (const double degC : {26.5, 27.0, 27.5}) {
      for (const double leak_per_s : {2e-4, 3e-4, 5e-4}) {
        INFO(degC << " degC, leak " << leak_per_s);
        check_no_disagreement(apart(degC, leak_per_s));
      }
    }
  }
  SECTION("a cold cup and a cold vessel") {
    sim::Scenario scenario = apart(10.5, 6e-4);
    scenario.cup.temperature_degC = 10.0;
    check_no_disagreement(scenario);
  }
  SECTION("equal cups of equal waters") {
    sim::Scenario scenario = apart(38.3, 0.125 / 440.0);
    scenario.cup.temperature_degC = 38.0;
    check_no_disagreement(scenario);
  }
  SECTION("the emptied vessel") {
    sim::Scenario scenario = warm_water();
    scenario.probes[1].offset_K = 0.2;
    scenario.room.temperature_degC = 29.0;
    check_no_disagreement(scenario);
  }
  SECTION("lifted into the air behind the mixing") {
    sim::Scenario scenario = with(warm_water(), {{103.0, sim::CarryProbe{1, sim::Place::air}}});
    scenario.probes[1].offset_K = 0.2;
    check_no_disagreement(scenario);
  }
}

TEST_CASE("probes that agree are not said to disagree", "[many]") {
  sim::Scenario scenario = dissolving(2700.0, 5.0);
  scenario.probes[1].place = sim::Place::cup;
  scenario.probes[1].lag_s = 9.0;
  scenario.probes[1].noise_K = 0.03;
  check_no_disagreement(scenario);
}

TEST_CASE("contents that lie in layers are noticed as far as the readings allow", "[many]") {
  constexpr int seeds = 10;
  const auto noticed = [](sim::Scenario scenario, double wander_K) {
    scenario.layers = sim::LayerSettings{};
    scenario.layers->wander_K = wander_K;
    scenario.cup.stirring_W = 0.0;
    int count = 0;
    for (std::uint64_t seed = 1; seed <= seeds; ++seed) {
      const auto runs = analyses_of(scenario, seed);
      const auto tells = [](const RunAnalysis& run) {
        return finding_in(run, "stirring-off") != nullptr;
      };
      count += std::any_of(runs.begin(), runs.end(), tells) ? 1 : 0;
    }
    return count;
  };
  CHECK(noticed(warm_water(), 0.012) >= 9);
  CHECK(noticed(dissolving(2700.0, 4.0), 0.012) >= 8);
  CHECK(noticed(warm_water(), 0.0) == 0);
  CHECK(noticed(warm_water(), 0.001) == 0);
}
