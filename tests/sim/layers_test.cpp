// Contents that nobody stirs: how far they wander, for how long, and what stays as it was.
#include "sim/layers.hpp"

#include <cmath>

#include "sim/bench.hpp"
#include "sim/simulate.hpp"
#include "tests/catch.hpp"

using namespace nestcup::sim;

namespace {

/// A cup that keeps its heat, with probes that follow at once and show what is there.
Scenario still_cup() {
  Scenario scenario;
  scenario.duration_s = 20000.0;
  scenario.interval_s = 3.0;
  scenario.room.temperature_degC = 20.0;
  scenario.cup = {400.0, 30.0, 0.0, 0.0};
  scenario.layers = LayerSettings{.wander_K = 0.05, .wander_s = 12.0, .settle_s = 6.0};
  ProbeSettings probe;
  probe.name = "cup";
  probe.lag_s = probe.noise_K = probe.step_K = 0.0;
  scenario.probes = {probe, probe};
  scenario.probes[1].name = "added";
  return scenario;
}

std::vector<double> away_K(const SimulatedRun& run, std::size_t probe = 0) {
  std::vector<double> away;
  for (const double degC : run.probes[probe].temperature_degC) away.push_back(degC - 30.0);
  return away;
}

double mean_product(const std::vector<double>& a, const std::vector<double>& b,
                    std::size_t apart = 0) {
  double sum = 0.0;
  for (std::size_t i = apart; i < a.size(); ++i) sum += a[i] * b[i - apart];
  return sum / static_cast<double>(a.size() - apart);
}

}  // namespace

TEST_CASE("layers wander by the spread and the correlation time that are asked for") {
  const SimulatedRun run = simulate(still_cup(), 3);
  const std::vector<double> away = away_K(run);
  const double variance = mean_product(away, away);
  CHECK_THAT(std::sqrt(variance), WithinAbs(0.05, 0.004));
  // Neighbours are 3 s apart: exp(-3/12), and exp(-1) over four.
  CHECK_THAT(mean_product(away, away, 1) / variance, WithinAbs(std::exp(-0.25), 0.03));
  CHECK_THAT(mean_product(away, away, 4) / variance, WithinAbs(std::exp(-1.0), 0.08));
  // Around another probe another layer wanders.
  CHECK(std::abs(mean_product(away, away_K(run, 1))) < 0.12 * variance);
}

TEST_CASE("layers do not depend on when the bench is read") {
  Scenario scenario = still_cup();
  scenario.duration_s = 300.0;
  const SimulatedRun seldom = simulate(scenario, 5);
  scenario.interval_s = 1.0;
  const SimulatedRun often = simulate(scenario, 5);
  for (std::size_t i = 0; i < seldom.time_s.size(); ++i) {
    CHECK_THAT(often.probes[0].temperature_degC[3 * i],
               WithinAbs(seldom.probes[0].temperature_degC[i], 1e-9));
  }
}

TEST_CASE("layers build up when the stirrer stops and die away when it starts") {
  Scenario scenario = still_cup();
  scenario.cup.stirring_W = 1e-9;
  scenario.events = {{1000.0, Stir{0.0}}, {2000.0, Stir{1e-9}}};
  scenario.duration_s = 3000.0;
  const std::vector<double> away = away_K(simulate(scenario, 2));
  const auto largest_K = [&](double from_s, double to_s) {
    double largest = 0.0;
    for (double at_s = from_s; at_s < to_s; at_s += scenario.interval_s) {
      largest = std::max(largest, std::abs(away[static_cast<std::size_t>(at_s / 3.0)]));
    }
    return largest;
  };
  CHECK(largest_K(0.0, 1000.0) < 1e-6);
  CHECK(largest_K(1000.0, 1003.0) < 0.06);
  CHECK(largest_K(1020.0, 2000.0) > 0.08);
  // Ten times the time in which they settle: 5e-5 of four standard deviations.
  CHECK(largest_K(2060.0, 3000.0) < 1e-5);
}

TEST_CASE("without stirring matter releases its heat more slowly, and all of it") {
  Scenario scenario = still_cup();
  scenario.layers->wander_K = 0.0;
  scenario.layers->release_factor = 4.0;
  Mix mix;
  mix.pour_s = 0.0;
  mix.heat_J = 4000.0;  // 10 K
  mix.release_s = 5.0;
  scenario.events = {{100.0, mix}};
  Bench bench(scenario, 1);
  bench.advance_to(120.0);
  CHECK_THAT(bench.cup_degC(), WithinAbs(30.0 + 10.0 * (1.0 - std::exp(-1.0)), 1e-4));
  bench.advance_to(500.0);
  CHECK_THAT(bench.cup_degC(), WithinAbs(40.0, 1e-4));
  CHECK_THAT(bench.truth().at(0).corrected_rise_K, WithinAbs(10.0, 1e-9));
}

TEST_CASE(
    "layers change nothing while the contents are stirred, and take no one's random numbers") {
  Scenario scenario = still_cup();
  scenario.duration_s = 200.0;
  scenario.cup.stirring_W = 0.04;
  scenario.probes[0].noise_K = 0.008;
  const SimulatedRun with_layers = simulate(scenario, 9);
  scenario.layers.reset();
  const SimulatedRun without = simulate(scenario, 9);
  CHECK(with_layers.probes[0].temperature_degC == without.probes[0].temperature_degC);
}
