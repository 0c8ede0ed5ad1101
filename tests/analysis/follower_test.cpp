// Which mixings the follower finds, and what is none.
#include "core/analysis/run/run_follower.hpp"

#include <algorithm>
#include <cmath>

#include "sim/one_trial.hpp"
#include "tests/analysis/followed.hpp"
#include "tests/analysis/newton_cup.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

std::vector<FinishedRun> runs_of(const sim::Scenario& scenario, std::uint64_t seed) {
  return followed(bench_readings(simulate(scenario, seed)));
}

/// A cup that only drifts.
NewtonCup drifting() {
  NewtonCup cup;
  cup.releases.clear();
  cup.end_s = 900.0;
  cup.interval_s = 1.0;
  return cup;
}

std::size_t count_of(const Curve& curve) {
  return followed(cup_readings(curve)).size();
}

RunAnalysis analysed(const FinishedRun& run) {
  return analyse_run(run_input(run, {ProbeRole::cup}));
}

/// Two mixings, each with its own rise.
sim::Scenario two_mixings(double first_K, double second_K) {
  sim::OneTrial trial;
  trial.rise_K = first_K;
  sim::Scenario scenario = one_trial_scenario(trial);
  sim::Event second = scenario.events.front();
  second.at_s += 330.0;
  std::get<sim::Mix>(second.what).heat_J *= second_K / first_K;
  scenario.events.push_back(second);
  scenario.duration_s += 400.0;
  return scenario;
}

}  // namespace

TEST_CASE("draughts, knocks, a lifted probe and a stopped stirrer are no mixing") {
  for (std::uint64_t seed = 1; seed <= 5; ++seed) {
    CHECK(runs_of(shipped_scenario("quiet"), seed).empty());
  }
}

TEST_CASE("a mixing is found though the one probe was in air during the pour") {
  const sim::Scenario scenario = shipped_scenario("carried-over");
  for (std::uint64_t seed = 1; seed <= 8; ++seed) {
    INFO("seed " << seed);
    const auto simulated = sim::simulate(scenario, seed);
    const auto runs = followed(bench_readings(simulated));
    REQUIRE(runs.size() == 1);
    REQUIRE(runs[0].tour);
    const RunAnalysis run = analyse_run(run_input(runs[0], {ProbeRole::cup}));
    const double begin_s = to_s(runs[0].readings.front().time_us);
    const sim::TrialTruth& truth = simulated.truth.at(0);
    CHECK(std::abs(run.rise.value_K - truth.corrected_rise_K) < 3.0 * run.rise.u_K);
    CHECK(run.rise.u_K < 0.05);
    CHECK(std::abs(run.mixing_time_s.value + begin_s - truth.mixing_time_s) <
          3.0 * run.mixing_time_s.u);
    REQUIRE(run.added_at_mixing_degC);
    CHECK(std::abs(run.added_at_mixing_degC->value - *truth.added_degC) <
          3.0 * run.added_at_mixing_degC->u);
    for (const Finding& finding : run.findings) FAIL_CHECK(finding.code);
  }
}

TEST_CASE("what a carried probe read in the second vessel is carried on to the mixing") {
  const sim::Scenario scenario = shipped_scenario("carried-probe");
  for (std::uint64_t seed = 1; seed <= 8; ++seed) {
    INFO("seed " << seed);
    const auto simulated = sim::simulate(scenario, seed);
    const auto runs = followed(bench_readings(simulated));
    REQUIRE(runs.size() == 1);
    const RunAnalysis run = analyse_run(run_input(runs[0], {ProbeRole::cup}));
    REQUIRE(run.added_at_mixing_degC);
    // Three minutes of cooling lie between, almost two kelvin.
    const double error_K = run.added_at_mixing_degC->value - *simulated.truth.at(0).added_degC;
    CHECK(std::abs(error_K) < 3.0 * run.added_at_mixing_degC->u);
    CHECK(run.added_at_mixing_degC->u < 0.15);
  }
}

TEST_CASE("drift and cooling water are no mixing") {
  NewtonCup cup = drifting();
  const auto [rest_degC, rate_per_s] =
      GENERATE(std::pair{23.0, 3e-4}, std::pair{-5.0, 8e-4}, std::pair{60.0, 5e-4});
  cup.rest_degC = rest_degC;
  cup.rate_per_s = cup.after_rate_per_s = rate_per_s;
  const double step_K = GENERATE(0.0, 0.01, 0.1);
  for (std::uint64_t seed = 1; seed <= 3; ++seed) {
    CHECK(count_of(with_noise(newton_curve(cup), 0.01, step_K, seed)) == 0);
  }
}

TEST_CASE("lone knocks are no mixing") {
  Curve curve = with_noise(newton_curve(drifting()), 0.01, 0.01, 2);
  for (const std::size_t at : {150U, 300U, 301U, 600U}) curve[at].temperature_degC += 0.7;
  CHECK(count_of(curve) == 0);
}

TEST_CASE("a gap in the drift is no mixing") {
  Curve curve = with_noise(newton_curve(drifting()), 0.01, 0.01, 2);
  const auto gap_s = GENERATE(20, 120, 400);
  curve.erase(curve.begin() + 300, curve.begin() + 300 + gap_s);
  CHECK(count_of(curve) == 0);
}

TEST_CASE("a mixing is found at every interval, rising and falling") {
  sim::OneTrial trial;
  trial.rise_K = GENERATE(6.0, -2.0);
  trial.interval_s = GENERATE(0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0);
  trial.foreperiod_s = 147.0;
  trial.after_s = 480.0;
  INFO(trial.rise_K << " K, interval " << trial.interval_s << " s");
  const auto runs = runs_of(one_trial_scenario(trial), 4);
  REQUIRE(runs.size() == 1);
  const RunAnalysis run = analysed(runs[0]);
  REQUIRE(run.usable());
  CHECK_THAT(run.rise.value_K, WithinAbs(trial.rise_K, 3.0 * run.rise.u_K));
  CHECK(run.rise.u_K < 0.05);
  CHECK_THAT(run.mixing_time_s.value, WithinAbs(147.0 - to_s(runs[0].readings.front().time_us),
                                                std::max(1.0, 3.0 * run.mixing_time_s.u)));
}

TEST_CASE("a mixing is found in readings at uneven times") {
  NewtonCup cup;
  cup.releases = {{6.0, 3.0}};
  cup.lag_s = 4.0;
  cup.interval_s = 0.1;
  cup.end_s = 330.0;
  const Curve all = with_noise(newton_curve(cup), 0.008, 0.01, 6);
  Curve curve;
  for (std::size_t i = 0; i < all.size(); i += 3 + (i * i) % 17) curve.push_back(all[i]);
  const auto runs = followed(cup_readings(curve));
  REQUIRE(runs.size() == 1);
  const RunAnalysis run = analysed(runs[0]);
  CHECK_THAT(run.rise.value_K, WithinAbs(6.0, 3.0 * run.rise.u_K));
}

TEST_CASE("a line that a board says again a thousand times is no mixing and hides none", "[many]") {
  NewtonCup cup;
  cup.releases = {{6.0, 3.0}};
  cup.lag_s = 4.0;
  cup.end_s = cup.mixing_s + 230.0;
  const auto copies = GENERATE(100U, 1300U);
  for (std::uint64_t seed = 1; seed <= 20; ++seed) {
    Curve curve = with_noise(newton_curve(cup), 0.008, 0.01, seed);
    const auto said = curve.begin() + 37;
    said->temperature_degC -= 0.02;  // not the likeliest of readings
    Curve again(copies, *said);
    for (std::size_t i = 0; i < copies; ++i) again[i].time_s += 1e-5 * static_cast<double>(i + 1);
    curve.insert(said + 1, again.begin(), again.end());
    INFO(copies << " copies, seed " << seed);
    const auto runs = followed(cup_readings(curve));
    REQUIRE(runs.size() == 1);
    const RunAnalysis run = analysed(runs[0]);
    REQUIRE(run.usable());
    CHECK_THAT(run.rise.value_K, WithinAbs(6.0, 4.0 * run.rise.u_K));
  }
}

TEST_CASE("several mixings are found in order, each with its rise") {
  const auto [first_K, second_K] =
      GENERATE(std::pair{6.0, 4.0}, std::pair{5.0, -3.0}, std::pair{-2.0, -1.0});
  // The second is poured into a fuller cup: half the rise for the same heat.
  const sim::Scenario scenario = two_mixings(first_K, second_K);
  const sim::SimulatedRun simulated = simulate(scenario, 2);
  const auto runs = followed(bench_readings(simulated));
  REQUIRE(runs.size() == 2);
  REQUIRE(simulated.truth.size() == 2);
  for (std::size_t i = 0; i < 2; ++i) {
    const RunAnalysis run = analysed(runs[i]);
    CHECK_THAT(run.rise.value_K,
               WithinAbs(simulated.truth[i].corrected_rise_K, 3.0 * run.rise.u_K));
  }
}

TEST_CASE("a whole day is followed: seven mixings, no more") {
  const sim::SimulatedRun day = simulate(shipped_scenario("oxide-day"), 3);
  const BenchReadings bench = bench_readings(day);
  const auto runs = followed(bench);
  REQUIRE(runs.size() == day.truth.size());
  for (std::size_t i = 0; i < runs.size(); ++i) {
    const RunAnalysis run = analyse_run(run_input(runs[i], bench.roles));
    CHECK_THAT(run.rise.value_K, WithinAbs(day.truth[i].corrected_rise_K, 3.0 * run.rise.u_K));
  }
}

TEST_CASE("slow heating is a run only where there is a heater") {
  const BenchReadings bench = bench_readings(simulate(shipped_scenario("heater"), 2));
  CHECK(followed(bench).empty());
  RunFollower::Settings settings;
  settings.heater = true;
  CHECK(followed(bench, settings).size() == 1);
}

TEST_CASE("asked to finish early, the follower hands out what is there") {
  RunFollower follower({}, {ProbeRole::cup});
  const BenchReadings bench = bench_readings(simulate(one_trial_scenario(sim::OneTrial{}), 1));
  CHECK_FALSE(follower.finish());
  for (const Reading& reading : bench.readings) {
    if (reading.time_us > to_us(150.0)) break;
    follower.feed(reading);
  }
  CHECK(follower.state() == RunState::running);
  REQUIRE(follower.onset_us());
  CHECK_FALSE(follower.take_finished());
  REQUIRE(follower.finish());
  const auto run = follower.take_finished();
  REQUIRE(run);
  CHECK(run->readings.back().time_us == to_us(150.0));
  CHECK(follower.state() == RunState::watching);
  CHECK_FALSE(follower.finish());
}

TEST_CASE("the result is the same, bit for bit, wherever the axis begins") {
  const sim::SimulatedRun simulated = simulate(one_trial_scenario(sim::OneTrial{}), 8);
  const auto here = followed(bench_readings(simulated));
  REQUIRE(here.size() == 1);
  const RunAnalysis expected = analysed(here[0]);
  for (const TimeUs begin_us : {TimeUs{-5'000'000}, TimeUs{1}, TimeUs{1'780'000'000'123'457}}) {
    const auto there = followed(bench_readings(simulated, begin_us));
    REQUIRE(there.size() == 1);
    const RunAnalysis run = analysed(there[0]);
    CHECK(run.rise.value_K == expected.rise.value_K);
    CHECK(run.rise.u_K == expected.rise.u_K);
    CHECK(run.mixing_time_s.value == expected.mixing_time_s.value);
    CHECK(run.main.end_s == expected.main.end_s);
  }
}

TEST_CASE("a long hole in the foreperiod empties it, wherever the axis begins") {
  Curve curve = with_noise(newton_curve(NewtonCup{}), 0.008, 0.01, 6);
  for (std::size_t i = 1; i < curve.size(); ++i) curve[i].time_s += 400.0;
  for (const TimeUs begin_us : {TimeUs{0}, TimeUs{77'000'000}}) {
    const auto runs = followed(cup_readings(curve, begin_us));
    REQUIRE(runs.size() == 1);
    CHECK(runs[0].readings.front().time_us == begin_us + to_us(400.5));
  }
}

TEST_CASE("a probe that comes back from minutes in air, a digit off its line, is no mixing",
          "[many]") {
  struct Lift {
    double warming_K, at_s;
  };
  for (const Lift& lift : {Lift{0.3, 300.0}, Lift{0.6, 200.0}}) {
    const double back_s = lift.at_s + 125.0;
    Curve curve;
    for (double time_s = 0.0; time_s < back_s + 280.0; time_s += 0.1) {
      // A cup warms ever slower; its probe hangs in warmer air for two minutes.
      const double cup_degC = 22.0 - lift.warming_K * std::exp(-time_s / 500.0);
      const double in_air = time_s < lift.at_s ? 0.0
                            : time_s < back_s  ? 1.0 - std::exp(-(time_s - lift.at_s) / 43.0)
                                               : 0.95 * std::exp(-(time_s - back_s) / 6.0);
      curve.push_back({time_s, cup_degC + in_air * (23.4 - cup_degC)});
    }
    for (std::uint64_t seed = 1; seed <= 10; ++seed) {
      INFO("seed " << seed << ", lifted at " << lift.at_s << " s");
      CHECK(followed(cup_readings(with_noise(curve, 0.01, 0.1, seed))).empty());
    }
  }
}
