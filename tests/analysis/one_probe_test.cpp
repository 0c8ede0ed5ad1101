// One probe for both vessels: its way is found whether it saw the pour or not.
#include <algorithm>
#include <cmath>

#include "core/analysis/mixing/probe_tour.hpp"
#include "core/analysis/rise/hand_line.hpp"
#include "sim/simulate.hpp"
#include "tests/analysis/followed.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

/// When the probe came back into the cup in the scenario `carried-over`, s.
constexpr double back_s = 178.0;

/// The same way, but with the pour so long after the probe's coming back.
sim::Scenario poured_behind(double after_s, double interval_s = 0.5) {
  sim::Scenario scenario = shipped_scenario("carried-over");
  scenario.interval_s = interval_s;
  for (sim::Event& event : scenario.events) {
    if (std::holds_alternative<sim::Mix>(event.what)) event.at_s = back_s + after_s;
  }
  std::stable_sort(scenario.events.begin(), scenario.events.end(),
                   [](const sim::Event& a, const sim::Event& b) { return a.at_s < b.at_s; });
  scenario.duration_s += after_s;
  return scenario;
}

/// The readings of the scenario's one run, fed again, give it again.
void check_same_again(const sim::Scenario& scenario, std::uint64_t seed) {
  INFO(scenario.name << " of " << scenario.duration_s << " s");
  const auto runs = followed(bench_readings(sim::simulate(scenario, seed)));
  REQUIRE(runs.size() == 1);
  const auto again = followed({{ProbeRole::cup}, runs[0].readings});
  REQUIRE(again.size() == 1);
  CHECK(again[0].readings.size() == runs[0].readings.size());
  const RunAnalysis first = analyse_run(run_input(runs[0], {ProbeRole::cup}));
  const RunAnalysis second = analyse_run(run_input(again[0], {ProbeRole::cup}));
  CHECK(first.rise.value_K == second.rise.value_K);
  CHECK(first.rise.u_K == second.rise.u_K);
}

void check_result(const sim::SimulatedRun& simulated, const FinishedRun& finished) {
  const RunAnalysis run = analyse_run(run_input(finished, {ProbeRole::cup}));
  const sim::TrialTruth& truth = simulated.truth.at(0);
  CHECK(std::abs(run.rise.value_K - truth.corrected_rise_K) < 3.5 * run.rise.u_K);
  CHECK(run.rise.u_K < 0.05);
  REQUIRE(run.added_at_mixing_degC);
  CHECK(std::abs(run.added_at_mixing_degC->value - *truth.added_degC) <
        3.5 * run.added_at_mixing_degC->u);
  CHECK(run.added_at_mixing_degC->u < 0.15);
}

}  // namespace

TEST_CASE("a pour soon after the probe came back into the cup is found with its whole tour") {
  for (const double after_s : {30.0, 42.0, 60.0}) {
    for (const double interval_s : {0.2, 1.0, 2.0}) {
      INFO(after_s << " s after, every " << interval_s << " s");
      const auto simulated = sim::simulate(poured_behind(after_s, interval_s), 7);
      const auto runs = followed(bench_readings(simulated));
      REQUIRE(runs.size() == 1);
      REQUIRE(runs[0].tour);
      REQUIRE(runs[0].tour->cup_first);
      check_result(simulated, runs[0]);
    }
  }
}

TEST_CASE("what the probe read on its way and in the vessel is no part of the cup's readings") {
  const auto simulated = sim::simulate(poured_behind(50.0), 3);
  const auto runs = followed(bench_readings(simulated));
  REQUIRE(runs.size() == 1);
  const RunInput input = run_input(runs[0], {ProbeRole::cup});
  REQUIRE(input.away);
  bool stood_before = false;
  for (const Point& point : input.cup) {
    CHECK((point.time_s < 100.0 || point.time_s > back_s));
    stood_before = stood_before || point.time_s < 90.0;
    if (point.time_s < back_s + 50.0) CHECK(std::abs(point.temperature_degC - 20.8) < 0.5);
  }
  CHECK(stood_before);
}

TEST_CASE("the readings of a carried probe's run give the same run again") {
  check_same_again(shipped_scenario("carried-over"), 5);
  check_same_again(shipped_scenario("carried-probe"), 5);
  check_same_again(poured_behind(35.0), 11);
  check_same_again(poured_behind(55.0), 11);
}

TEST_CASE("a visit to the other vessel seen in few readings is no mixing") {
  sim::Scenario scenario = poured_behind(0.0, 2.0);
  std::erase_if(scenario.events, [](const sim::Event& event) {
    return std::holds_alternative<sim::Mix>(event.what);
  });
  for (std::uint64_t seed = 1; seed <= 8; ++seed) {
    INFO("seed " << seed);
    CHECK(followed(bench_readings(sim::simulate(scenario, seed))).empty());
  }
}

TEST_CASE("in the second vessel once more, the probe has seen no mixing") {
  sim::Scenario scenario = shipped_scenario("carried-over");
  scenario.events.clear();
  // From the cup into the vessel and back, twice: the stays in the vessel may be taken for the
  // cup's.
  for (const double time_s : {150.0, 300.0}) {
    scenario.events.push_back({time_s, sim::CarryProbe{0, sim::Place::air}});
    scenario.events.push_back({time_s + 8.0, sim::CarryProbe{0, sim::Place::added}});
    scenario.events.push_back({time_s + 70.0, sim::CarryProbe{0, sim::Place::air}});
    scenario.events.push_back({time_s + 78.0, sim::CarryProbe{0, sim::Place::cup}});
  }
  for (const double interval_s : {0.5, 1.0, 2.0}) {
    scenario.interval_s = interval_s;
    scenario.duration_s = 500.0;
    for (std::uint64_t seed = 1; seed <= 6; ++seed) {
      INFO(interval_s << " s, seed " << seed);
      const sim::SimulatedRun run = sim::simulate(scenario, seed);
      Curve cup;
      for (std::size_t i = 0; i < run.time_s.size(); ++i) {
        cup.push_back({run.time_s[i], run.probes[0].temperature_degC[i]});
      }
      CHECK_FALSE(tour_with_mixing(cup, 60.0));
    }
  }
}

TEST_CASE("the pour unseen, few readings on the way: the tour is found, and not the visit") {
  sim::Scenario scenario = shipped_scenario("carried-over");
  scenario.interval_s = 2.0;
  for (std::uint64_t seed = 1; seed <= 6; ++seed) {
    INFO("seed " << seed);
    const auto simulated = sim::simulate(scenario, seed);
    const auto runs = followed(bench_readings(simulated));
    REQUIRE(runs.size() == 1);
    REQUIRE(runs[0].tour);
    REQUIRE(runs[0].tour->cup_after);
    check_result(simulated, runs[0]);
  }
}

TEST_CASE("by hand a carried probe's rise is the distance of two lines at the pour") {
  Curve in_cup;
  for (double t = 0.0; t <= 400.0; t += 1.0) {
    // Away at the second vessel, and back in the cup a minute before the pour.
    if (t > 90.0 && t < 150.0) continue;
    in_cup.push_back({t, 21.0 - 0.002 * t + (t < 210.0 ? 0.0 : 5.0)});
  }
  const auto rise_K = hand_lines_K(in_cup, 210.0);
  REQUIRE(rise_K);
  CHECK(std::abs(*rise_K - 5.0) < 0.06);
  CHECK(!hand_lines_K(CurveView(in_cup).first(200), 210.0));
}
