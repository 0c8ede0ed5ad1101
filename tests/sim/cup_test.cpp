// The physics against closed forms. Tolerances are the integrator's stated 0.02 mK or tighter.
#include <algorithm>
#include <cmath>
#include <utility>

#include "sim/bench.hpp"
#include "tests/catch.hpp"

using namespace nestcup::sim;

namespace {

/// A quiet cup at 30 degC in a room of 20 degC, one exact probe in it.
Scenario plain_cup() {
  Scenario scenario;
  scenario.room.temperature_degC = 20.0;
  scenario.cup = {400.0, 30.0, 0.4, 0.0};
  ProbeSettings probe;
  probe.name = "cup";
  probe.noise_K = 0.0;
  probe.step_K = 0.0;
  scenario.probes = {probe};
  return scenario;
}

/// The same without any leak.
Scenario tight_cup() {
  Scenario scenario = plain_cup();
  scenario.cup.leak_W_per_K = 0.0;
  return scenario;
}

}  // namespace

TEST_CASE("a stirred cup cools towards the convergence temperature by Newton's law") {
  Scenario scenario = plain_cup();
  scenario.cup.stirring_W = 0.2;
  Bench bench(scenario, 1);
  const double rest = 20.0 + 0.2 / 0.4;
  for (const double t : {1.0, 60.0, 600.0, 3600.0}) {
    bench.advance_to(t);
    CHECK_THAT(bench.cup_degC(), WithinAbs(rest + (30.0 - rest) * std::exp(-1e-3 * t), 1e-9));
  }
}

TEST_CASE("a drifting room is followed at a constant distance") {
  Scenario scenario = plain_cup();
  scenario.room.drift_K_per_h = 3.6;  // 1 mK/s
  Bench bench(scenario, 1);
  bench.advance_to(900.0);
  // x' = k (a + b t - x): x = a + b t - b/k + (x0 - a + b/k) exp(-k t).
  const double expected = 20.0 + 0.9 - 1.0 + (30.0 - 20.0 + 1.0) * std::exp(-0.9);
  CHECK_THAT(bench.cup_degC(), WithinAbs(expected, 1e-9));
}

TEST_CASE("the room's cycle is a sine") {
  RoomSettings room;
  room.cycle_K = 0.5;
  room.cycle_s = 400.0;
  CHECK_THAT(room_degC(room, 100.0), WithinAbs(21.5, 1e-12));
  CHECK_THAT(room_degC(room, 200.0), WithinAbs(21.0, 1e-12));
}

TEST_CASE("adding liquid lowers the leak rate h/C") {
  Scenario scenario = plain_cup();
  Mix mix;
  mix.added_J_per_K = 400.0;
  mix.from = Source::cup;
  scenario.events = {{10.0, mix}};
  Bench bench(scenario, 1);
  bench.advance_to(20.0);
  const double before = bench.cup_degC() - 20.0;
  bench.advance_to(520.0);
  CHECK_THAT(std::log(before / (bench.cup_degC() - 20.0)) / 500.0, WithinRel(0.4 / 800.0, 1e-9));
}

TEST_CASE("a pour can change h itself") {
  Scenario scenario = plain_cup();
  Mix mix;
  mix.leak_after_W_per_K = 0.1;
  scenario.events = {{10.0, mix}};
  Bench bench(scenario, 1);
  bench.advance_to(20.0);
  const double before = bench.cup_degC() - 20.0;
  bench.advance_to(520.0);
  CHECK_THAT(std::log(before / (bench.cup_degC() - 20.0)) / 500.0, WithinRel(0.1 / 400.0, 1e-9));
}

TEST_CASE("a pour mixes at an even rate and keeps the energy") {
  Scenario scenario = tight_cup();
  Mix mix;
  mix.pour_s = 4.0;
  mix.added_J_per_K = 200.0;
  mix.from = Source::given;
  mix.temperature_degC = 60.0;
  scenario.events = {{10.0, mix}};
  Bench bench(scenario, 1);
  for (const double t : {10.0, 11.0, 12.5, 14.0, 100.0}) {
    bench.advance_to(t);
    const double come = 200.0 * std::min(1.0, (t - 10.0) / 4.0);
    CHECK_THAT(bench.cup_degC(), WithinAbs((400.0 * 30.0 + come * 60.0) / (400.0 + come), 2e-6));
    CHECK_THAT(bench.heat_capacity_J_per_K(), WithinAbs(400.0 + come, 1e-9));
  }
}

TEST_CASE("heat is released by first order from what has arrived") {
  Scenario scenario = tight_cup();
  Mix mix;
  mix.pour_s = 3.0;
  mix.heat_J = 2000.0;
  mix.release_s = 5.0;
  scenario.events = {{10.0, mix}};
  Bench bench(scenario, 1);
  for (const double t : {1.0, 3.0, 8.0, 30.0}) {
    bench.advance_to(10.0 + t);
    // An even arrival over 3 s, each part released as 1 - exp(-age/5 s).
    const double end = std::min(t, 3.0);
    const double waiting = 5.0 / 3.0 * (std::exp(-(t - end) / 5.0) - std::exp(-t / 5.0));
    CHECK_THAT(bench.cup_degC(), WithinAbs(30.0 + 5.0 * (end / 3.0 - waiting), 2e-5));
  }
}

TEST_CASE("release against a leak has its closed form") {
  Scenario scenario = plain_cup();
  scenario.cup.temperature_degC = 20.0;
  Mix mix;
  mix.pour_s = 0.0;
  mix.heat_J = 4000.0;
  mix.release_s = 2.0;
  scenario.events = {{5.0, mix}};
  Bench bench(scenario, 1);
  for (const double t : {0.3, 2.0, 10.0, 200.0}) {
    bench.advance_to(5.0 + t);
    const double expected = 10.0 * 0.5 / (0.5 - 1e-3) * (std::exp(-1e-3 * t) - std::exp(-0.5 * t));
    CHECK_THAT(bench.cup_degC(), WithinAbs(20.0 + expected, 2e-5));
  }
}

TEST_CASE("the second step follows the first") {
  Scenario scenario = tight_cup();
  Mix mix;
  mix.pour_s = 0.0;
  mix.heat_J = -400.0;
  mix.release_s = 3.0;
  mix.second_heat_J = 2000.0;
  mix.second_release_s = 12.0;
  scenario.events = {{0.0, mix}};
  Bench bench(scenario, 1);
  for (const double t : {1.0, 10.0, 60.0}) {
    bench.advance_to(t);
    const double first = 1.0 - std::exp(-t / 3.0);
    const double second =
        1.0 - (3.0 * std::exp(-t / 3.0) - 12.0 * std::exp(-t / 12.0)) / (3.0 - 12.0);
    CHECK_THAT(bench.cup_degC(), WithinAbs(30.0 - first + 5.0 * second, 2e-5));
  }
}

TEST_CASE("a solid sets its heat free as its surface dwindles") {
  // Of a portion that is gone after T, 1 - (1 - t/T)^n, or what a logistic course from -5 to 5 has
  // of its way; of an even pour's portions, their mean.
  const auto shape = GENERATE(std::pair{Solid::sheet, 1.0}, std::pair{Solid::rod, 2.0},
                              std::pair{Solid::grain, 3.0}, std::pair{Solid::skinned, 0.0});
  const double n = shape.second;
  const double pour_s = GENERATE(0.0, 4.0);
  Scenario scenario = tight_cup();
  Mix mix;
  mix.pour_s = pour_s;
  mix.heat_J = 4000.0;
  mix.solid = shape.first;
  mix.solid_s = 30.0;
  scenario.events = {{0.0, mix}};
  Bench bench(scenario, 1);
  const auto share = [&](double t) {
    const double x = std::clamp(t / 30.0, 0.0, 1.0);
    if (n > 0.0) return 1.0 - std::pow(1.0 - x, n);
    return 0.5 + 0.5 * std::tanh(10.0 * (x - 0.5) / 2.0) / std::tanh(2.5);
  };
  for (const double t : {1.0, 3.7, 17.3, 30.0, 32.0, 34.0, 60.0}) {
    bench.advance_to(t);
    double expected = 0.0;
    constexpr int portions = 4000;
    for (int i = 0; i < portions; ++i) {
      expected += share(t - pour_s * (i + 0.5) / portions) / portions;
    }
    CHECK_THAT(bench.cup_degC(), WithinAbs(30.0 + 10.0 * expected, 2e-5));
  }
}

TEST_CASE("a new mixing breaks up what is left of a solid") {
  Scenario scenario = tight_cup();
  Mix mix;
  mix.pour_s = 0.0;
  mix.heat_J = 4000.0;
  mix.solid = Solid::rod;
  mix.solid_s = 30.0;
  Mix next;
  next.heat_J = -400.0;
  scenario.events = {{0.0, mix}, {10.0, next}};
  Bench bench(scenario, 1);
  bench.advance_to(60.0);
  CHECK_THAT(bench.cup_degC(), WithinAbs(39.0, 1e-6));
}

TEST_CASE("a slow lid takes its share and nothing is lost") {
  Scenario scenario = tight_cup();
  scenario.lid = LidSettings{50.0, 0.5, 0.0};
  Mix mix;
  mix.pour_s = 0.0;
  mix.heat_J = 4000.0;  // +10 K at once; the lid stays behind
  scenario.events = {{0.0, mix}};
  Bench bench(scenario, 1);
  const double rate = 0.5 * (1.0 / 400.0 + 1.0 / 50.0);
  for (const double t : {10.0, 100.0, 2000.0}) {
    bench.advance_to(t);
    const double share = 10.0 * 50.0 / 450.0;
    CHECK_THAT(bench.cup_degC(), WithinAbs(40.0 - share * (1.0 - std::exp(-rate * t)), 1e-6));
  }
}

TEST_CASE("a heater warms by its work") {
  Scenario scenario = tight_cup();
  scenario.events = {{10.0, Heat{"heater", 8.0, 100.0}}};
  Bench bench(scenario, 1);
  bench.advance_to(60.0);
  CHECK_THAT(bench.cup_degC(), WithinAbs(31.0, 1e-9));
  bench.advance_to(300.0);
  CHECK_THAT(bench.cup_degC(), WithinAbs(32.0, 1e-9));
  REQUIRE(bench.truth().size() == 1);
  CHECK_THAT(bench.truth()[0].corrected_rise_K, WithinAbs(2.0, 1e-12));
  CHECK(bench.truth()[0].mixing_time_s == 10.0);
}

TEST_CASE("a draught multiplies the leak while it lasts, and stirring can be set") {
  Scenario scenario = plain_cup();
  scenario.events = {{0.0, Draught{3.0, 0.0, 100.0}}, {150.0, Stir{0.8}}};
  Bench bench(scenario, 1);
  bench.advance_to(150.0);
  const double at_150 = 20.0 + 10.0 * std::exp(-1e-3 * (3.0 * 100.0 + 50.0));
  CHECK_THAT(bench.cup_degC(), WithinAbs(at_150, 1e-9));
  bench.advance_to(350.0);
  CHECK_THAT(bench.cup_degC(), WithinAbs(22.0 + (at_150 - 22.0) * std::exp(-0.2), 1e-9));
}

TEST_CASE("a fresh filling replaces contents, leak and what was still to be released") {
  Scenario scenario = plain_cup();
  Mix mix;
  mix.heat_J = 4000.0;
  mix.release_s = 50.0;
  scenario.events = {{0.0, mix}, {20.0, FreshCup{{200.0, 25.0, 0.0, 0.0}}}};
  Bench bench(scenario, 1);
  bench.advance_to(100.0);
  CHECK_THAT(bench.cup_degC(), WithinAbs(25.0, 1e-12));
  CHECK(bench.heat_capacity_J_per_K() == 200.0);
}

TEST_CASE("the second vessel cools, is poured from, and is empty afterwards") {
  Scenario scenario = plain_cup();
  scenario.added = {60.0, 1e-3};
  scenario.probes[0].place = Place::added;
  scenario.probes[0].air_lag_s = 40.0;
  Mix mix;
  mix.pour_s = 2.0;
  mix.added_J_per_K = 200.0;
  mix.from = Source::added;
  scenario.events = {{100.0, mix}};
  Bench bench(scenario, 1);
  bench.advance_to(100.0);
  CHECK_THAT(bench.added_degC(), WithinAbs(20.0 + 40.0 * std::exp(-0.1), 1e-9));
  bench.advance_to(102.0);
  const double probe = bench.probe_degC(0);
  REQUIRE(bench.truth().size() == 1);
  // The mean over the pour of an exponential.
  const double mean = 20.0 + 40.0 * std::exp(-0.1) * (1.0 - std::exp(-0.002)) / 0.002;
  CHECK_THAT(bench.truth()[0].added_degC.value(), WithinAbs(mean, 1e-7));
  bench.advance_to(142.0);
  CHECK_THAT(bench.probe_degC(0), WithinAbs(20.0 + (probe - 20.0) * std::exp(-1.0), 1e-6));
}

TEST_CASE("an open cup in air as warm and full of vapour loses nothing") {
  CHECK_THAT(open_surface_W(45.0, 21.0, 21.0, 1.0), WithinAbs(0.0, 1e-12));
  Scenario scenario = tight_cup();
  scenario.cup.temperature_degC = scenario.room.temperature_degC;
  scenario.room.relative_humidity = 1.0;
  scenario.cup.open_cm2 = 45.0;
  Bench bench(scenario, 1);
  bench.advance_to(600.0);
  CHECK_THAT(bench.cup_degC(), WithinAbs(20.0, 1e-9));
}

TEST_CASE("an open cup evaporates as open water indoors does") {
  // W. H. Carrier's formula for open water (Trans. ASHVE 24 (1918) 25; also in the ASHRAE Handbook
  // for swimming pools), from memory: (0.089 + 0.0782 v) (p_water - p_air) / L in kg/(m2 s), v in
  // m/s, pressures in kPa and L in kJ/kg; here the air moves at 0.2 m/s.
  // Vapour pressures of the steam tables: 4.247 kPa at 30 degC, 2.488 kPa at 21 degC.
  const double carrier_W_per_m2 = 1000.0 * (0.089 + 0.0782 * 0.2) * (4.247 - 0.5 * 2.488);
  const double dry_W_per_m2 = (0.006 * 1200.0 + 5.8) * 9.0;
  const double open_W_per_m2 = 1e4 * open_surface_W(1.0, 30.0, 21.0, 0.5);
  CHECK_THAT(open_W_per_m2 - dry_W_per_m2, WithinRel(carrier_W_per_m2, 0.05));
}

TEST_CASE("an open cup comes to rest below the room") {
  Scenario scenario = plain_cup();
  scenario.cup.open_cm2 = 45.0;
  scenario.cup.temperature_degC = 20.0;
  Bench bench(scenario, 1);
  bench.advance_to(20'000.0);
  const double loss_W = open_surface_W(45.0, bench.cup_degC(), 20.0, 0.5);
  CHECK(bench.cup_degC() < 19.5);
  CHECK_THAT(loss_W, WithinAbs(0.4 * (20.0 - bench.cup_degC()), 1e-4));
}

TEST_CASE("a cup that is filled anew has its lid on unless it is said") {
  Scenario scenario = tight_cup();
  scenario.cup.open_cm2 = 45.0;
  scenario.events = {{10.0, FreshCup{tight_cup().cup}}};
  Bench bench(scenario, 1);
  bench.advance_to(9.0);
  CHECK(bench.cup_degC() < 30.0);
  bench.advance_to(600.0);
  CHECK_THAT(bench.cup_degC(), WithinAbs(30.0, 1e-9));
}
