// Probes: lag, carrying, evaporation, noise and the last digit.
#include "sim/probe.hpp"

#include <algorithm>
#include <cmath>

#include "sim/bench.hpp"
#include "tests/catch.hpp"

using namespace nestcup::sim;

namespace {

ProbeSettings exact_probe() {
  ProbeSettings probe;
  probe.name = "cup";
  probe.noise_K = 0.0;
  probe.step_K = 0.0;
  return probe;
}

/// A cup at 40 degC that keeps its heat, in a room of 20 degC.
Scenario warm_cup(const ProbeSettings& probe) {
  Scenario scenario;
  scenario.room.temperature_degC = 20.0;
  scenario.cup = {400.0, 40.0, 0.0, 0.0};
  scenario.probes = {probe};
  return scenario;
}

struct Moments {
  double mean = 0.0;
  double variance = 0.0;
  double kurtosis = 0.0;
  double lag_one = 0.0;  ///< correlation of neighbours
};

Moments moments(const std::vector<double>& values) {
  Moments result;
  const double count = static_cast<double>(values.size());
  for (const double value : values) result.mean += value / count;
  double fourth = 0.0;
  double neighbours = 0.0;
  for (std::size_t i = 0; i < values.size(); ++i) {
    const double off = values[i] - result.mean;
    result.variance += off * off / count;
    fourth += off * off * off * off / count;
    if (i > 0) neighbours += off * (values[i - 1] - result.mean) / count;
  }
  result.kurtosis = fourth / (result.variance * result.variance);
  result.lag_one = neighbours / result.variance;
  return result;
}

}  // namespace

TEST_CASE("a probe follows a step by its lag, slower in air than in liquid") {
  ProbeSettings settings = exact_probe();
  settings.place = Place::air;
  settings.lag_s = 4.0;
  settings.air_lag_s = 50.0;
  settings.evaporation_K = 0.0;
  Scenario scenario = warm_cup(settings);
  scenario.events = {{10.0, CarryProbe{0, Place::cup}}, {110.0, CarryProbe{0, Place::air}}};
  Bench bench(scenario, 1);
  bench.advance_to(16.0);
  CHECK_THAT(bench.probe_degC(0), WithinAbs(40.0 - 20.0 * std::exp(-6.0 / 4.0), 2e-5));
  bench.advance_to(160.0);
  CHECK_THAT(bench.probe_degC(0), WithinAbs(20.0 + 20.0 * std::exp(-1.0), 2e-5));
}

TEST_CASE("on a steady ramp a probe stays behind by its lag") {
  Scenario scenario = warm_cup(exact_probe());
  scenario.cup.stirring_W = 4.0;  // 10 mK/s
  Bench bench(scenario, 1);
  bench.advance_to(200.0);
  CHECK_THAT(bench.cup_degC() - bench.probe_degC(0), WithinAbs(0.04, 1e-9));
}

TEST_CASE("a probe without lag reads its place") {
  ProbeSettings settings = exact_probe();
  settings.lag_s = 0.0;
  settings.air_lag_s = 30.0;
  settings.evaporation_K = 0.0;
  Scenario scenario = warm_cup(settings);
  scenario.cup.stirring_W = 4.0;
  scenario.events = {{100.0, CarryProbe{0, Place::air}}};
  Bench bench(scenario, 1);
  bench.advance_to(100.0);
  CHECK_THAT(bench.probe_degC(0), WithinAbs(41.0, 1e-9));
  bench.advance_to(130.0);
  CHECK_THAT(bench.probe_degC(0), WithinAbs(20.0 + 21.0 * std::exp(-1.0), 2e-5));
}

TEST_CASE("a wet probe in air reads below the room until it is dry") {
  ProbeSettings settings = exact_probe();
  settings.air_lag_s = 10.0;
  settings.evaporation_K = 2.0;
  settings.dry_s = 60.0;
  Scenario scenario = warm_cup(settings);
  scenario.cup.temperature_degC = 20.0;
  scenario.events = {{0.0, CarryProbe{0, Place::air}}};
  Bench bench(scenario, 1);
  for (const double t : {20.0, 60.0, 900.0}) {
    bench.advance_to(t);
    // A first-order lag of 10 s behind -2 K exp(-t/60 s).
    const double expected = -2.0 * 60.0 / 50.0 * (std::exp(-t / 60.0) - std::exp(-t / 10.0));
    CHECK_THAT(bench.probe_degC(0), WithinAbs(20.0 + expected, 2e-6));
  }
  bench.advance_to(20.0 + 900.0);
  CHECK_THAT(bench.probe_degC(0), WithinAbs(20.0, 1e-5));
}

TEST_CASE("noise is white and normal with the stated deviation") {
  ProbeSettings settings = exact_probe();
  settings.noise_K = 0.02;
  Probe probe(settings, 99, 0);
  std::vector<double> readings;
  for (int i = 0; i < 100000; ++i) readings.push_back(probe.read(25.0, 0.0));
  const Moments found = moments(readings);
  // Four standard errors of each, for 1e5 normal readings.
  CHECK_THAT(found.mean, WithinAbs(25.0, 4.0 * 0.02 / std::sqrt(1e5)));
  CHECK_THAT(std::sqrt(found.variance), WithinRel(0.02, 4.0 / std::sqrt(2e5)));
  CHECK_THAT(found.kurtosis, WithinAbs(3.0, 4.0 * std::sqrt(24.0 / 1e5)));
  CHECK_THAT(found.lag_one, WithinAbs(0.0, 4.0 / std::sqrt(1e5)));
}

TEST_CASE("a probe that averages shows the mean of its newest readings") {
  ProbeSettings settings = exact_probe();
  settings.noise_K = 0.02;
  Probe plain(settings, 7, 0);
  settings.averaged = 4;
  Probe averaging(settings, 7, 0);
  std::vector<double> readings;
  for (int i = 0; i < 50; ++i) {
    readings.push_back(plain.read(25.0, 0.0));
    const std::size_t count = std::min<std::size_t>(readings.size(), 4);
    double sum = 0.0;
    for (std::size_t k = 0; k < count; ++k) sum += readings[readings.size() - 1 - k];
    CHECK_THAT(averaging.read(25.0, 0.0), WithinAbs(sum / static_cast<double>(count), 1e-9));
  }
}

TEST_CASE("probes have independent noise") {
  ProbeSettings settings = exact_probe();
  settings.noise_K = 1.0;
  Probe first(settings, 5, 0);
  Probe second(settings, 5, 1);
  double product = 0.0;
  for (int i = 0; i < 40000; ++i) product += first.read(0.0, 0.0) * second.read(0.0, 0.0) / 40000.0;
  CHECK_THAT(product, WithinAbs(0.0, 4.0 / 200.0));
}

TEST_CASE("readings are multiples of the last digit and the doubles nearest to their text") {
  ProbeSettings settings = exact_probe();
  settings.noise_K = 0.3;
  settings.step_K = GENERATE(0.01, 0.1, 0.0625, 0.5, 1.0);
  Probe probe(settings, 3, 0);
  double sum_of_squares = 0.0;
  for (int i = 0; i < 2000; ++i) {
    const double reading = probe.read(21.337, 0.0);
    const double multiple = reading / settings.step_K;
    CHECK_THAT(multiple, WithinAbs(std::round(multiple), 1e-9));
    CHECK(std::stod(reading_text(reading, settings.step_K)) == reading);
    sum_of_squares += (reading - 21.337) * (reading - 21.337) / 2000.0;
  }
  // Below a step of noise the rounding adds a twelfth of the step squared.
  if (settings.step_K <= 0.5) {
    const double expected = 0.09 + settings.step_K * settings.step_K / 12.0;
    CHECK_THAT(sum_of_squares, WithinRel(expected, 0.13));
  }
}

TEST_CASE("decimals come from the step") {
  CHECK(decimals_of_step(1.0) == 0);
  CHECK(decimals_of_step(0.5) == 1);
  CHECK(decimals_of_step(0.25) == 2);
  CHECK(decimals_of_step(0.0625) == 4);
  CHECK(decimals_of_step(0.001) == 3);
  CHECK(reading_text(21.3, 0.01) == "21.30");
  CHECK(reading_text(-0.0 + 0.0, 0.1) == "0.0");
}

TEST_CASE("a knock shows in the readings while it lasts and nowhere else") {
  Scenario scenario = warm_cup(exact_probe());
  scenario.events = {{10.0, Knock{0, -0.6, 1.0}}};
  Bench bench(scenario, 1);
  const auto reading_at = [&bench](double t) {
    bench.advance_to(t);
    return bench.read().at(0);
  };
  CHECK_THAT(reading_at(9.9), WithinAbs(40.0, 1e-9));
  CHECK_THAT(reading_at(10.0), WithinAbs(39.4, 1e-9));
  CHECK_THAT(reading_at(10.9), WithinAbs(39.4, 1e-9));
  CHECK_THAT(reading_at(11.0), WithinAbs(40.0, 1e-9));
}

TEST_CASE("a probe shows its offset, and its error of scale from 20 degC on") {
  ProbeSettings settings = exact_probe();
  settings.offset_K = 0.3;
  settings.scale_error = 0.01;
  Scenario scenario = warm_cup(settings);
  CHECK_THAT(Bench(scenario, 1).read().at(0), WithinAbs(40.0 + 0.3 + 0.2, 1e-12));
  scenario.cup.temperature_degC = 15.0;
  CHECK_THAT(Bench(scenario, 1).read().at(0), WithinAbs(15.0 + 0.3 - 0.05, 1e-12));
}

TEST_CASE("a probe that dips in half follows slowly and stays behind, towards the air") {
  ProbeSettings settings = exact_probe();
  settings.place = Place::air;
  settings.lag_s = 4.0;
  settings.air_lag_s = 40.0;
  settings.immersed = 0.25;
  Scenario scenario = warm_cup(settings);
  scenario.events = {{10.0, CarryProbe{0, Place::cup}}};
  Bench bench(scenario, 1);
  // Exchange 0.25/4 with the liquid and 0.75/40 with the air, per second.
  constexpr double liquid_per_s = 0.0625, air_per_s = 0.01875;
  const double lag_s = 1.0 / (liquid_per_s + air_per_s);
  const double end_degC = 20.0 + 20.0 * liquid_per_s * lag_s;
  bench.advance_to(10.0 + lag_s);
  CHECK_THAT(bench.probe_degC(0), WithinAbs(end_degC - (end_degC - 20.0) * std::exp(-1.0), 1e-3));
  bench.advance_to(500.0);
  CHECK_THAT(bench.probe_degC(0), WithinAbs(end_degC, 1e-6));
}
