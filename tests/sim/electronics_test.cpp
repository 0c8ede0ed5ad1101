// What the electronics makes of temperatures and of broken probes.
#include "sim/electronics.hpp"

#include "tests/catch.hpp"

using namespace nestcup;
using namespace nestcup::sim;

namespace {

/// A bench whose contents stay at a temperature, with a probe that is sent like this.
Scenario held_at(double degC, RawUnit sends, const TransducerSettings& sensor, double step_raw) {
  Scenario scenario;
  scenario.duration_s = 100.0;
  scenario.room.temperature_degC = 20.0;
  scenario.cup = {400.0, degC, 0.0, 0.0};
  ProbeSettings probe;
  probe.name = "cup";
  probe.noise_K = 0.0;
  probe.step_K = sends == RawUnit::degC ? 0.01 : 0.0;
  probe.sends = sends;
  probe.sensor = sensor;
  probe.step_raw = step_raw;
  scenario.probes = {probe};
  return scenario;
}

std::vector<Measured> measured_at(const Scenario& scenario, double time_s) {
  Bench bench(scenario, 1);
  bench.advance_to(time_s);
  return Electronics(scenario).measure(bench.read(), bench);
}

double sent(const Scenario& scenario) {
  const Measured measured = measured_at(scenario, 1.0).at(0);
  REQUIRE(measured.found == Found::value);
  return measured.value;
}

ThermistorSettings thermistor(std::optional<Divider> divider) {
  return {BetaLaw{3950.0, 10'000.0, 25.0}, divider, {}};
}

/// What is found once the probe is broken in this way, and after it is mended.
Measured broken(Scenario scenario, Condition condition) {
  scenario.events = {{5.0, Wires{0, condition}}, {10.0, Wires{0, Condition::whole}}};
  CHECK(measured_at(scenario, 4.0).at(0).found == Found::value);
  CHECK(measured_at(scenario, 11.0).at(0).found == Found::value);
  CHECK(measured_at(scenario, 11.0).at(0).value == measured_at(scenario, 4.0).at(0).value);
  return measured_at(scenario, 6.0).at(0);
}

}  // namespace

TEST_CASE("temperatures in other units, rounded to their own step") {
  CHECK(sent(held_at(21.234, RawUnit::degC, {}, 0.0)) == 21.23);
  CHECK_THAT(sent(held_at(21.0, RawUnit::kelvin, {}, 0.01)), WithinAbs(294.15, 1e-9));
  CHECK_THAT(sent(held_at(21.23, RawUnit::degF, {}, 0.1)), WithinAbs(70.2, 1e-9));
}

TEST_CASE("a thermistor at its reference temperature has its reference resistance") {
  CHECK_THAT(sent(held_at(25.0, RawUnit::ohm, thermistor({}), 0.0)), WithinAbs(10'000.0, 1e-6));
}

TEST_CASE("a divider of equal resistors is at half its scale, on either side") {
  for (const bool below : {true, false}) {
    const Divider divider{10'000.0, below, 65536.0};
    CHECK(sent(held_at(25.0, RawUnit::count, thermistor(divider), 1.0)) == 32768.0);
  }
  // Warmer is less ohm: less below, more above.
  const auto at_30 = [](bool below) {
    return sent(held_at(30.0, RawUnit::ratio, thermistor(Divider{10'000.0, below, 1.0}), 0.0));
  };
  CHECK(at_30(true) < 0.5);
  CHECK_THAT(at_30(true) + at_30(false), WithinAbs(1.0, 1e-12));
}

TEST_CASE("self-heating shows as a warmer thermistor") {
  ThermistorSettings warm = thermistor(Divider{10'000.0, true, 1.0});
  warm.self_heating = SelfHeating{7.0, 5.0, 0.0};
  const double ratio = sent(held_at(25.0, RawUnit::ratio, warm, 0.0));
  // Closed form at the reference: 2.5 V at 10 kohm is 0.625 mW, 0.0893 K; ln R falls by
  // beta dT / T^2, the ratio by a quarter of that.
  const double fall = 0.25 * 3950.0 * (0.625 / 7.0) / (298.15 * 298.15);
  CHECK_THAT(0.5 - ratio, WithinAbs(fall, 2e-3 * fall));
}

TEST_CASE("platinum after IEC 60751, with its leads") {
  // IEC 60751: 109.7347 ohm at 25 degC for R0 = 100 ohm; 1097.347 for 1000.
  CHECK_THAT(sent(held_at(25.0, RawUnit::ohm, PlatinumSettings{}, 0.0)), WithinAbs(109.7347, 5e-5));
  PlatinumSettings two_wires{1000.0, 2, 0.5, {}, {}};
  CHECK_THAT(sent(held_at(25.0, RawUnit::ohm, two_wires, 0.0)), WithinAbs(1098.347, 5e-4));
}

TEST_CASE("a thermocouple's emf is that over its cold junction") {
  // NIST Monograph 175, type K: 1000 uV at 25 degC, 1612 uV at 40 degC (table values, whole uV).
  const ThermocoupleSettings ice{ThermocoupleType::K, 0.0};
  CHECK_THAT(sent(held_at(40.0, RawUnit::microvolt, ice, 0.0)), WithinAbs(1612.0, 0.5));
  CHECK_THAT(sent(held_at(40.0, RawUnit::millivolt, ice, 0.001)), WithinAbs(1.612, 1e-9));
  const ThermocoupleSettings warm{ThermocoupleType::K, 25.0};
  CHECK_THAT(sent(held_at(40.0, RawUnit::microvolt, warm, 0.0)), WithinAbs(612.0, 1.0));
}

TEST_CASE("a cold junction on the board drifts with the room, and the emf with it") {
  Scenario scenario =
      held_at(40.0, RawUnit::microvolt, ThermocoupleSettings{ThermocoupleType::K, {}}, 0.0);
  scenario.room.drift_K_per_h = 3600.0 / 100.0;  // 1 K in 100 s
  scenario.duration_s = 1000.0;
  ProbeSettings board;
  board.name = "board";
  board.place = Place::air;
  board.air_lag_s = 1.0;
  board.noise_K = 0.0;
  scenario.probes.push_back(board);
  scenario.probes[0].junction = 1;
  const auto early = measured_at(scenario, 100.0), late = measured_at(scenario, 600.0);
  const double drift_K = late[1].value - early[1].value;
  CHECK_THAT(drift_K, WithinAbs(5.0, 0.011));
  // Type K has 40 uV/K at 23 degC (NIST Monograph 175: 39.8 at 0, 41 at 40 degC).
  CHECK_THAT((late[0].value - early[0].value) / drift_K, WithinAbs(-40.4, 0.5));
}

TEST_CASE("broken probes: each electronics in its own way") {
  const auto degC = held_at(25.0, RawUnit::degC, {}, 0.0);
  CHECK(broken(degC, Condition::open).found == Found::nothing);
  CHECK(broken(degC, Condition::shorted).found == Found::nothing);

  const auto ohm = held_at(25.0, RawUnit::ohm, thermistor({}), 0.0);
  CHECK(broken(ohm, Condition::open).found == Found::overload);
  CHECK(broken(ohm, Condition::shorted).value == 0.0);

  for (const bool below : {true, false}) {
    const auto count =
        held_at(25.0, RawUnit::count, thermistor(Divider{10'000.0, below, 4095.0}), 1.0);
    const double open = below ? 4095.0 : 0.0;
    CHECK(broken(count, Condition::open).value == open);
    CHECK(broken(count, Condition::shorted).value == 4095.0 - open);
    CHECK(broken(count, Condition::open).found == Found::value);
  }

  const auto emf =
      held_at(40.0, RawUnit::microvolt, ThermocoupleSettings{ThermocoupleType::K, 25.0}, 0.1);
  CHECK(broken(emf, Condition::open).found == Found::overload);
  CHECK(broken(emf, Condition::shorted).value == 0.0);
}

TEST_CASE("decimals write the last digit of what is sent") {
  Scenario scenario = held_at(25.0, RawUnit::count, {}, 1.0);
  CHECK(channels_of(scenario).at(0).decimals == 0);
  scenario.probes[0].step_raw = 0.0625;
  CHECK(channels_of(scenario).at(0).decimals == 4);
  scenario.probes[0].step_raw = 1e-9;
  CHECK(channels_of(scenario).at(0).decimals == 9);
  scenario.probes[0].sends = RawUnit::degC;
  CHECK(channels_of(scenario).at(0).decimals == 6);
  scenario.probes[0].step_K = 0.05;
  CHECK(channels_of(scenario).at(0).decimals == 2);
}
