// A solid that dissolves: its course in closed form, how it is found, and its rise.
#include "core/analysis/course/dissolving.hpp"

#include <algorithm>
#include <cmath>

#include "core/analysis/run/run_analysis.hpp"
#include "sim/one_trial.hpp"
#include "tests/analysis/followed.hpp"
#include "tests/catch.hpp"

using namespace nestcup;
using Catch::Matchers::WithinAbs;

namespace {

constexpr double length_s = 40.0;
constexpr ResponseTimes delayed{length_s, 3.0, 5.0, 4e-4};

/// An even pour's answer, its length beside the other times.
double poured(double pour_s, double since_s) {
  ResponseTimes times = delayed;
  times.pour_s = pour_s;
  return PourResponse(times).value_at(since_s);
}

/// A supply that only falls is a sum of even ones that begin together: of those of the length l
/// there is as much as it falls by there, times l.
/// @param fall  how much the supply falls by at x of its time, times the square of that
template <class Fall>
double of_even_pours(const Fall& fall, double since_s) {
  constexpr int parts = 4000;
  double sum = 0.0;
  for (int i = 0; i < parts; ++i) {
    const double x = (i + 0.5) / parts;
    sum += fall(x) * x * poured(x * length_s, since_s) / parts;
  }
  return sum;
}

constexpr std::array moments_s{0.3, 4.0, 17.0, 39.9, 40.1, 55.0, 300.0};

sim::Scenario solid_scenario(sim::Solid solid, double solid_s, double rise_K, std::uint64_t seed) {
  sim::OneTrial trial;
  trial.rise_K = rise_K;
  trial.release_s = 1.0;
  trial.after_s = 240.0 + solid_s;
  trial.seed = seed;
  sim::Scenario scenario = sim::one_trial_scenario(trial);
  sim::Mix& mix = std::get<sim::Mix>(scenario.events.front().what);
  mix.solid = solid;
  mix.solid_s = solid_s;
  return scenario;
}

}  // namespace

TEST_CASE("a sheet dissolves as evenly as a pour") {
  const DissolvingResponse sheet(delayed, SolidShape::sheet);
  const PourResponse pour(delayed);
  for (const double since_s : moments_s) {
    INFO(since_s);
    const Share one = sheet.at(since_s), other = pour.at(since_s);
    for (const auto part :
         {&Share::value, &Share::by_time_per_s, &Share::by_log_pour, &Share::by_log_release,
          &Share::by_log_lag, &Share::by_log_rate, &Share::leak}) {
      CHECK_THAT(one.*part, WithinAbs(other.*part, 1e-9));
    }
    CHECK_THAT(sheet.settled(since_s), WithinAbs(pour.settled(since_s), 1e-9));
  }
}

TEST_CASE("rods and grains are sums of sheets") {
  const DissolvingResponse rod(delayed, SolidShape::rod), grain(delayed, SolidShape::grain);
  for (const double since_s : moments_s) {
    INFO(since_s);
    const auto evenly = [](double) { return 2.0; };
    const auto less_and_less = [](double x) { return 6.0 * (1.0 - x); };
    CHECK_THAT(rod.value_at(since_s), WithinAbs(of_even_pours(evenly, since_s), 1e-6));
    CHECK_THAT(grain.value_at(since_s), WithinAbs(of_even_pours(less_and_less, since_s), 1e-6));
  }
}

TEST_CASE("without delays a solid goes by its cube root law") {
  // Hixson and Crowell (1931): what is left, to the power 1/3 in grains, falls evenly.
  const DissolvingResponse grain({length_s, 1e-4, 2e-4, 1e-7}, SolidShape::grain);
  for (const double part : {0.1, 0.5, 0.9}) {
    const double left = 1.0 - grain.value_at(part * length_s);
    CHECK_THAT(std::cbrt(left), WithinAbs(1.0 - part, 1e-4));
  }
}

TEST_CASE("a supply that grows and fades is made of those that fall") {
  // 6 x (1 - x) = 3 (2 (1 - x)) - 2 (3 (1 - x)^2)
  const DissolvingResponse rod(delayed, SolidShape::rod), grain(delayed, SolidShape::grain);
  const DissolvingResponse skinned(delayed, SolidShape::skinned);
  for (const double since_s : moments_s) {
    const double expected = 3.0 * rod.value_at(since_s) - 2.0 * grain.value_at(since_s);
    CHECK_THAT(skinned.value_at(since_s), WithinAbs(expected, 1e-9));
  }
}

TEST_CASE("all of a solid's heat comes in the end, and leaks") {
  const SolidShape shape =
      GENERATE(SolidShape::sheet, SolidShape::rod, SolidShape::grain, SolidShape::skinned);
  const DissolvingResponse solid(delayed, shape);
  CHECK(solid.value_at(0.0) == 0.0);
  CHECK(solid.value_at(-3.0) == 0.0);
  CHECK_THAT(solid.at(300.0).value, WithinAbs(solid.settled(300.0), 1e-9));
  // The leak's pole is the slowest by far: the rest is what a leak leaves since the mean moment.
  const double leaked_s = std::log(solid.settled(0.0)) / delayed.rate_per_s;
  CHECK(leaked_s > delayed.release_s + delayed.lag_s);
  CHECK(leaked_s < 0.51 * length_s + delayed.release_s + delayed.lag_s);
}

TEST_CASE("solids that dissolve are found, and their rise is right") {
  const auto [solid, solid_s] =
      GENERATE(std::pair{sim::Solid::sheet, 20.0}, std::pair{sim::Solid::rod, 30.0},
               std::pair{sim::Solid::rod, 90.0}, std::pair{sim::Solid::grain, 40.0},
               std::pair{sim::Solid::grain, 110.0});
  const double rise_K = GENERATE(8.0, -2.5);
  for (std::uint64_t seed = 1; seed <= 2; ++seed) {
    CAPTURE(static_cast<int>(solid), solid_s, rise_K, seed);
    const sim::SimulatedRun simulated =
        simulate(solid_scenario(solid, solid_s, rise_K, seed), seed);
    const BenchReadings bench = bench_readings(simulated);
    const auto runs = followed(bench);
    REQUIRE(runs.size() == 1);
    const RunAnalysis run = analyse_run(run_input(runs.front(), bench.roles));
    CAPTURE(run.estimates.front().note);
    // A sheet is as even as a pour.
    const bool is_said =
        run.estimates.front().note.find("a solid that dissolves") != std::string::npos;
    CHECK((is_said || solid == sim::Solid::sheet));
    CHECK(run.rise.method.find("maximum likelihood") == 0);
    CHECK_THAT(run.rise.value_K,
               WithinAbs(simulated.truth.front().corrected_rise_K, 3.0 * run.rise.u_K));
    CHECK(run.rise.u_K < 0.01 * std::abs(rise_K));
    const double begin_s = to_s(runs.front().readings.front().time_us);
    CHECK_THAT(begin_s + run.mixing_time_s.value,
               WithinAbs(simulated.truth.front().mixing_time_s, 3.0 * run.mixing_time_s.u));
  }
}

TEST_CASE("heat that sets in gently is found, whatever its course is fitted by") {
  const double solid_s = GENERATE(25.0, 40.0, 50.0);
  const double rise_K = GENERATE(8.0, -2.5);
  for (std::uint64_t seed = 1; seed <= 2; ++seed) {
    CAPTURE(solid_s, rise_K, seed);
    const sim::SimulatedRun simulated =
        simulate(solid_scenario(sim::Solid::skinned, solid_s, rise_K, seed), seed);
    const BenchReadings bench = bench_readings(simulated);
    const auto runs = followed(bench);
    REQUIRE(runs.size() == 1);
    const RunAnalysis run = analyse_run(run_input(runs.front(), bench.roles));
    CAPTURE(run.estimates.front().note);
    CHECK_THAT(run.rise.value_K,
               WithinAbs(simulated.truth.front().corrected_rise_K, 4.0 * run.rise.u_K));
    CHECK(run.rise.u_K < 0.02 * std::abs(rise_K));
  }
}

TEST_CASE("a release that takes no solid is said to have none") {
  sim::OneTrial trial;
  for (trial.seed = 1; trial.seed <= 3; ++trial.seed) {
    const sim::SimulatedRun simulated = simulate(sim::one_trial_scenario(trial), trial.seed);
    const BenchReadings bench = bench_readings(simulated);
    const RunAnalysis run = analyse_run(run_input(followed(bench).at(0), bench.roles));
    CHECK(run.estimates.front().note.find("solid") == std::string::npos);
  }
}
