// The truth against an integration of the same mixing without leak, lid and stirring.
#include "sim/truth.hpp"

#include <cmath>
#include <fstream>
#include <nlohmann/json.hpp>

#include "sim/one_trial.hpp"
#include "sim/simulate.hpp"
#include "tests/catch.hpp"

using namespace nestcup;
using namespace nestcup::sim;

namespace {

/// How far the contents rise when the only mixing of `scenario` happens in a perfect cup that
/// starts as warm as the real one was.
double rise_without_leak(Scenario scenario, const TrialTruth& truth) {
  scenario.lid.reset();
  scenario.cup.leak_W_per_K = 0.0;
  scenario.cup.stirring_W = 0.0;
  scenario.cup.temperature_degC = truth.cup_at_mixing_degC;
  for (Event& event : scenario.events) {
    if (auto* mix = std::get_if<Mix>(&event.what)) mix->leak_after_W_per_K.reset();
  }
  Bench bench(scenario, 1);
  bench.advance_to(truth.mixing_time_s + 3000.0);
  return bench.cup_degC() - truth.cup_at_mixing_degC;
}

Scenario leaky_scenario() {
  Scenario scenario;
  scenario.duration_s = 400.0;
  scenario.room = {21.0, 0.7, 0.2, 300.0};
  scenario.cup = {240.0, 20.1, 0.15, 0.05};
  scenario.lid = LidSettings{12.0, 0.05, 0.02};
  scenario.added = {55.0, 6e-4};
  ProbeSettings probe;
  probe.name = "cup";
  scenario.probes = {probe};
  return scenario;
}

void check_truth(const Scenario& scenario) {
  const SimulatedRun run = simulate(scenario, 1);
  REQUIRE(run.truth.size() == 1);
  const TrialTruth& truth = run.truth[0];
  CHECK_THAT(truth.corrected_rise_K, WithinAbs(rise_without_leak(scenario, truth), 1e-6));
  CHECK(truth.final_degC == truth.cup_at_mixing_degC + truth.corrected_rise_K);
}

}  // namespace

TEST_CASE("truth of warm liquid that cools in its own vessel") {
  Scenario scenario = leaky_scenario();
  Mix mix;
  mix.pour_s = GENERATE(0.0, 0.7, 6.0);
  mix.added_J_per_K = 209.0;
  mix.from = Source::added;
  scenario.events = {{95.3, mix}};
  check_truth(scenario);
}

TEST_CASE("truth of a reaction, rising and falling, in one step and in two") {
  Scenario scenario = leaky_scenario();
  Mix mix;
  mix.pour_s = 1.8;
  mix.added_J_per_K = 9.0;
  mix.from = Source::room;
  mix.heat_J = GENERATE(2700.0, -1500.0);
  mix.release_s = GENERATE(0.0, 14.0);
  mix.second_heat_J = GENERATE(0.0, 800.0);
  mix.second_release_s = GENERATE(0.0, 25.0);
  mix.leak_after_W_per_K = 0.12;
  scenario.events = {{80.0, mix}};
  check_truth(scenario);
}

TEST_CASE("truth of a solid that dissolves, and then reacts on") {
  Scenario scenario = leaky_scenario();
  Mix mix;
  mix.pour_s = GENERATE(0.0, 1.8);
  mix.heat_J = 2700.0;
  mix.solid = GENERATE(Solid::sheet, Solid::rod, Solid::grain, Solid::skinned);
  mix.solid_s = 40.0;
  mix.release_s = GENERATE(0.0, 6.0);
  scenario.events = {{80.0, mix}};
  check_truth(scenario);
}

TEST_CASE("cup at mixing is the true temperature of the contents") {
  Scenario scenario = leaky_scenario();
  Mix mix;
  mix.heat_J = 1000.0;
  scenario.events = {{80.0, mix}};
  Bench bench(scenario, 1);
  bench.advance_to(79.999999);
  const double before = bench.cup_degC();
  bench.advance_to(90.0);
  CHECK_THAT(bench.truth().at(0).cup_at_mixing_degC, WithinAbs(before, 1e-9));
}

TEST_CASE("repeats of a trial are numbered, several mixings are in order") {
  Scenario scenario = leaky_scenario();
  Mix mix;
  mix.heat_J = 1000.0;
  mix.trial = "oxide";
  scenario.events.push_back({50.0, mix});
  mix.trial = "metal";
  scenario.events.push_back({100.0, mix});
  mix.trial = "oxide";
  scenario.events.push_back({150.0, mix});
  const SimulatedRun run = simulate(scenario, 1);
  REQUIRE(run.truth.size() == 3);
  CHECK(run.truth[0].number == 1);
  CHECK(run.truth[1].trial == "metal");
  CHECK(run.truth[1].number == 1);
  CHECK(run.truth[2].number == 2);
  CHECK(run.truth[2].mixing_time_s == 150.0);
}

TEST_CASE("the truth as JSON") {
  TrialTruth trial;
  trial.trial = "oxide";
  trial.mixing_time_s = 62.1;
  trial.cup_at_mixing_degC = 21.25;
  trial.corrected_rise_K = 6.25;
  trial.final_degC = 27.5;
  const auto json = nlohmann::json::parse(truth_json({"day", 7, 1'000'000, 60.0}, {trial}));
  CHECK(json["scenario"] == "day");
  CHECK(json["seed"] == 7);
  CHECK(json["started_wall_us"] == 1'000'000);
  CHECK(json["speed"] == 60.0);
  CHECK(json["mixings"].size() == 1);
  CHECK(json["mixings"][0]["corrected_rise_K"] == 6.25);
  CHECK(json["mixings"][0]["mixing_time_s"] == 62.1);
  CHECK(json["mixings"][0]["added_degC"].is_null());
  const auto without = nlohmann::json::parse(truth_json({"day", 7}, {}));
  CHECK(without["started_wall_us"].is_null());
  CHECK(without["mixings"].empty());
}

TEST_CASE("a file that cannot be created is said so") {
  const Result<void> written = write_whole("/nowhere/at/all/truth.json", "x");
  REQUIRE_FALSE(written);
  CHECK(written.error().kind == Fault::cannot_create);
  CHECK(written.error().text.find("/nowhere/at/all/truth.json") != std::string::npos);
}
