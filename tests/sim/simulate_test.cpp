// Whole runs: the same seed gives the same bytes, and traces have the agreed form.
#include "sim/simulate.hpp"

#include <sstream>

#include "sim/one_trial.hpp"
#include "tests/catch.hpp"
#include "tests/sim/shipped.hpp"

using namespace nestcup;
using namespace nestcup::sim;

namespace {

std::vector<std::string> lines_of(const std::string& text) {
  std::istringstream stream(text);
  std::vector<std::string> lines;
  for (std::string line; std::getline(stream, line);) lines.push_back(line);
  return lines;
}

}  // namespace

TEST_CASE("the same seed gives the same bytes, another seed does not") {
  const Scenario scenario = shipped("oxide-day");
  const std::string once = trace_csv(simulate(scenario, 4));
  CHECK(once == trace_csv(simulate(scenario, 4)));
  CHECK(once != trace_csv(simulate(scenario, 5)));
}

TEST_CASE("the truth does not depend on the seed") {
  const Scenario scenario = shipped("one-trial");
  CHECK(simulate(scenario, 1).truth.at(0).corrected_rise_K ==
        simulate(scenario, 2).truth.at(0).corrected_rise_K);
}

TEST_CASE("another probe on the board leaves the first one's readings alone") {
  Scenario scenario = shipped("one-trial");
  const SimulatedRun both = simulate(scenario, 4);
  scenario.probes.pop_back();
  CHECK(simulate(scenario, 4).probes.at(0).temperature_degC == both.probes.at(0).temperature_degC);
}

TEST_CASE("a trace is a header and a row for each time") {
  Scenario scenario = shipped("one-trial");
  scenario.interval_s = 0.1;
  scenario.duration_s = 1.0;
  const auto lines = lines_of(trace_csv(simulate(scenario, 1)));
  REQUIRE(lines.size() == 12);
  CHECK(lines[0] == "time_s,cup_degC,added_degC");
  CHECK(lines[1].substr(0, 7) == "0.0,20.");
  CHECK(lines[4].substr(0, 7) == "0.3,20.");
  CHECK(lines[11].substr(0, 7) == "1.0,20.");
  CHECK(lines[1].size() == std::string("0.0,20.90,40.00").size());
}

TEST_CASE("readings at 20 s intervals are those of the physics, not of the interval") {
  OneTrial trial;
  trial.noise_K = 0.0;
  trial.step_K = 0.0;
  trial.interval_s = 0.1;
  const SimulatedRun fine = simulate(one_trial_scenario(trial), 1);
  trial.interval_s = 20.0;
  const SimulatedRun coarse = simulate(one_trial_scenario(trial), 1);
  REQUIRE(coarse.time_s.size() == 16);
  for (std::size_t i = 0; i < coarse.time_s.size(); ++i) {
    CHECK(coarse.time_s[i] == fine.time_s.at(200 * i));
    // Two step widths of the same integrator: within its stated accuracy.
    CHECK_THAT(coarse.probes[0].temperature_degC[i],
               WithinAbs(fine.probes[0].temperature_degC[200 * i], 2e-5));
  }
}

TEST_CASE("the whole day has its seven trials with plausible rises") {
  const Scenario scenario = shipped("oxide-day");
  CHECK(scenario.duration_s <= 3300.0);
  const SimulatedRun run = simulate(scenario, scenario.seed);
  REQUIRE(run.truth.size() == 7);
  const std::vector<std::string> names{"warm", "warm", "oxide", "oxide", "metal", "metal", "salt"};
  for (std::size_t i = 0; i < names.size(); ++i) {
    CHECK(run.truth[i].trial == names[i]);
    const double next = i + 1 < names.size() ? run.truth[i + 1].mixing_time_s : 1e9;
    CHECK(next - run.truth[i].mixing_time_s >= 260.0 + 50.0 + 90.0);
  }
  CHECK_THAT(run.truth[2].corrected_rise_K, WithinAbs(6.0, 0.5));
  CHECK_THAT(run.truth[4].corrected_rise_K, WithinAbs(11.0, 1.0));
  CHECK_THAT(run.truth[6].corrected_rise_K, WithinAbs(-3.5, 0.5));
}

TEST_CASE("nothing is mixed on the quiet bench") {
  const Scenario scenario = shipped("quiet");
  CHECK(simulate(scenario, scenario.seed).truth.empty());
}
