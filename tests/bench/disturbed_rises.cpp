#include "tests/bench/disturbed_rises.hpp"

#include <algorithm>
#include <array>

#include "sim/simulate.hpp"
#include "tests/bench/draw.hpp"
#include "tests/bench/small_rises.hpp"

namespace nestcup::bench {
namespace {

constexpr double largest_rise_K = 20.0;
constexpr double longer_after_s = 400.0;
constexpr std::array names{"air", "lift", "heat"};
static_assert(names.size() == static_cast<std::size_t>(Before::count));

}  // namespace

std::string_view before_name(Before before) {
  return names[static_cast<std::size_t>(before)];
}

DisturbedRise drawn_disturbed_rise(sim::Random& random) {
  DisturbedRise rise;
  sim::OneTrial& trial = rise.trial;
  trial = drawn_small_rise(random);
  const double least_K = threshold_K(trial.noise_K, trial.step_K);
  trial.rise_K = sign(random) * log_uniform(random, least_K, largest_rise_K);
  rise.before = static_cast<Before>(random.below(static_cast<std::uint64_t>(Before::count)));
  const double foreperiod_s = uniform(random, 60.0, 150.0);
  rise.from_s = rise.before == Before::air ? 0.0 : uniform(random, 80.0, 200.0);
  rise.until_s = rise.from_s + log_uniform(random, 20.0, 200.0);
  trial.foreperiod_s = rise.until_s + foreperiod_s;
  trial.after_s += longer_after_s;
  rise.air_lag_s = log_uniform(random, 20.0, 70.0);
  rise.evaporation_K = uniform(random, 0.5, 3.0);
  rise.dry_s = log_uniform(random, 30.0, 120.0);
  rise.warming_K = log_uniform(random, 1.0, 20.0);
  return rise;
}

Curve readings_of(const DisturbedRise& rise) {
  sim::Scenario scenario = one_trial_scenario(rise.trial);
  sim::ProbeSettings& probe = scenario.probes[0];
  probe.air_lag_s = rise.air_lag_s;
  probe.evaporation_K = rise.evaporation_K;
  probe.dry_s = rise.dry_s;
  auto& events = scenario.events;
  if (rise.before == Before::heat) {
    const double for_s = rise.until_s - rise.from_s;
    const double power_W = rise.warming_K * scenario.cup.heat_capacity_J_per_K / for_s;
    events.insert(events.begin(), {rise.from_s, sim::Heat{"heater", power_W, for_s}});
  } else {
    events.insert(events.begin(), {{rise.from_s, sim::CarryProbe{0, sim::Place::air}},
                                   {rise.until_s, sim::CarryProbe{0, sim::Place::cup}}});
  }
  return readings_of(scenario, rise.trial.seed);
}

}  // namespace nestcup::bench
