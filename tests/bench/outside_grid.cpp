#include "tests/bench/outside_grid.hpp"

#include <algorithm>
#include <cmath>

#include "sim/one_trial.hpp"
#include "sim/simulate.hpp"
#include "tests/bench/converters.hpp"
#include "tests/bench/draw.hpp"
#include "tests/bench/firmware.hpp"
#include "tests/bench/probe_way.hpp"

namespace nestcup::bench {
namespace {

sim::Scenario scenario_of(const Trial& trial, std::uint64_t seed) {
  sim::OneTrial one;
  one.rise_K = trial.rise_K;
  one.leak_before_per_s = trial.ratio * trial.rate_per_s;
  one.leak_after_per_s = trial.rate_per_s;
  one.pour_s = trial.pour_s;
  one.release_s = trial.release_s;
  one.lag_s = trial.lag_s;
  one.foreperiod_s = trial.mixing_s;
  one.after_s = trial.end_s - trial.mixing_s;
  one.start_degC = trial.start_degC;
  one.room_degC = trial.rest_degC;
  one.interval_s = trial.interval_s;
  one.noise_K = trial.noise_K;
  one.step_K = trial.step_K;
  one.seed = seed;
  return sim::one_trial_scenario(one);
}

sim::Mix& mix_of(sim::Scenario& scenario) {
  return std::get<sim::Mix>(scenario.events.front().what);
}

void add_second_step(sim::Scenario& scenario, std::mt19937_64& random) {
  sim::Mix& mix = mix_of(scenario);
  mix.second_heat_J = sign(random) * uniform(random, 0.1, 0.5) * mix.heat_J;
  mix.second_release_s = log_uniform(random, 20.0, 120.0);
}

void add_lid(sim::Scenario& scenario, std::mt19937_64& random) {
  sim::LidSettings lid;
  lid.heat_capacity_J_per_K = log_uniform(random, 5.0, 30.0);
  lid.coupling_W_per_K = lid.heat_capacity_J_per_K / log_uniform(random, 30.0, 300.0);
  scenario.lid = lid;
}

void let_room_drift(sim::Scenario& scenario, std::mt19937_64& random) {
  if (by_halves(random)) {
    scenario.room.drift_K_per_h = sign(random) * log_uniform(random, 0.5, 4.0);
    return;
  }
  scenario.room.cycle_K = 0.3;
  scenario.room.cycle_s = log_uniform(random, 600.0, 1800.0);
  // The trial begins at any moment of the cycle.
  const double ahead_s = std::floor(uniform(random, 0.0, scenario.room.cycle_s));
  scenario.events.front().at_s += ahead_s;
  scenario.duration_s += ahead_s;
}

/// The rise is that of mixing alone: the share poured follows from it, at most half of all.
void pour_from_vessel(sim::Scenario& scenario, Trial& trial, std::mt19937_64& random) {
  const bool warm = trial.rise_K > 0.0;
  const double away_K = warm ? uniform(random, 20.0, 40.0) : -uniform(random, 10.0, 18.0);
  scenario.added = {trial.rest_degC + away_K, log_uniform(random, 1e-4, 8e-4)};
  const double share = std::min(0.5, trial.rise_K / away_K);
  sim::Mix& mix = mix_of(scenario);
  mix.from = sim::Source::added;
  mix.added_J_per_K = scenario.cup.heat_capacity_J_per_K * share / (1.0 - share);
  mix.heat_J = 0.0;
  mix.leak_after_W_per_K.reset();
}

void put_probe_into_vessel(sim::Scenario& scenario) {
  sim::ProbeSettings probe = scenario.probes.front();
  probe.name = "added";
  probe.place = sim::Place::added;
  scenario.probes.push_back(probe);
}

void stamp_late(Curve& curve, double mean_s, std::mt19937_64& random) {
  constexpr double least_apart_s = 1e-3;
  std::exponential_distribution<double> late_s(1.0 / mean_s);
  double before_s = -INFINITY;
  for (Point& point : curve) {
    point.time_s = std::max(point.time_s + late_s(random), before_s + least_apart_s);
    before_s = point.time_s;
  }
}

void hold_back(Curve& curve, double from_s, double for_s) {
  constexpr double apart_s = 1e-4;
  double came_s = from_s + for_s;
  for (Point& point : curve) {
    if (point.time_s < from_s || point.time_s >= from_s + for_s) continue;
    point.time_s = came_s;
    came_s += apart_s;
  }
}

/// The readings that belong to the trial, with its true values.
OutsideTrial simulated(const sim::Scenario& scenario, Trial trial) {
  OutsideTrial outside;
  const sim::SimulatedRun run = sim::simulate(scenario, scenario.seed);
  const sim::TrialTruth& truth = run.truth.front();
  const double begin_s = truth.mixing_time_s - trial.mixing_s;
  for (std::size_t i = 0; i < run.time_s.size(); ++i) {
    const double time_s = run.time_s[i] - begin_s;
    if (time_s < 0.0) continue;
    outside.cup.push_back({time_s, run.probes[0].temperature_degC[i]});
    if (run.probes.size() < 2) continue;
    outside.added.push_back({time_s, run.probes[1].temperature_degC[i]});
  }
  const bool vessel_used = scenario.added.leak_per_s > 0.0;
  if (vessel_used) outside.added_degC = truth.added_degC;
  trial.rise_K = truth.corrected_rise_K;
  outside.trial = trial;
  return outside;
}

}  // namespace

std::string_view outside_name(Outside outside) {
  switch (outside) {
    case Outside::two_step:
      return "two_step";
    case Outside::warming_lid:
      return "warming_lid";
    case Outside::drifting_room:
      return "drifting_room";
    case Outside::drifting_vessel:
      return "drifting_vessel";
    case Outside::mixture:
      return "mixture";
    case Outside::one_probe_seen:
      return "one_probe_seen";
    case Outside::one_probe_unseen:
      return "one_probe_unseen";
    case Outside::late_stamps:
      return "late_stamps";
    case Outside::held_back:
      return "held_back";
    case Outside::converters:
      return "converters";
    case Outside::alike:
      return "alike";
    case Outside::solids:
      return "solids";
    case Outside::skinned:
      return "skinned";
  }
  return "mixture";
}

namespace {

OutsideTrial drawn_one_probe_trial(std::mt19937_64& random, bool pour_seen) {
  Trial trial = drawn_trial(random, Display::fine);
  const ProbeWay way = drawn_way(random, trial, pour_seen);
  sim::Scenario scenario = scenario_of(trial, random());
  pour_from_vessel(scenario, trial, random);
  carry_probe(scenario, way, random);
  OutsideTrial outside = simulated(scenario, trial);
  outside.by_hand = read_in_cup(outside.cup, way);
  return outside;
}

/// A plain trial without a last digit: what the board makes of its readings comes after that.
OutsideTrial drawn_unrounded_trial(std::mt19937_64& random, Display display) {
  Trial trial = drawn_trial(random, display);
  trial.step_K = 0.0;
  return simulated(scenario_of(trial, random()), trial);
}

OutsideTrial drawn_converted_trial(std::mt19937_64& random) {
  OutsideTrial outside = drawn_unrounded_trial(random, Display::coarse);
  convert(one_of(random, every_converter), outside.cup);
  return outside;
}

OutsideTrial drawn_alike_trial(std::mt19937_64& random) {
  OutsideTrial outside = drawn_unrounded_trial(random, Display::fine);
  work_on(one_of(random, every_firmware), outside.cup);
  return outside;
}

OutsideTrial drawn_solid_trial(std::mt19937_64& random, Outside outside) {
  Trial trial = drawn_trial(random, Display::fine);
  trial.release_s = log_uniform(random, 0.5, 5.0);
  sim::Solid solid = sim::Solid::skinned;
  double solid_s = 0.0;
  if (outside == Outside::skinned) {
    solid_s = log_uniform(random, 20.0, 60.0);
  } else {
    solid = one_of(random, std::array{sim::Solid::sheet, sim::Solid::rod, sim::Solid::grain});
    solid_s = log_uniform(random, 5.0, solid == sim::Solid::sheet ? 40.0 : 120.0);
  }
  trial.end_s += std::ceil(solid_s);
  sim::Scenario scenario = scenario_of(trial, random());
  mix_of(scenario).solid = solid;
  mix_of(scenario).solid_s = solid_s;
  return simulated(scenario, trial);
}

}  // namespace

OutsideTrial drawn_outside_trial(std::mt19937_64& random, Outside outside) {
  if (outside == Outside::one_probe_seen || outside == Outside::one_probe_unseen) {
    return drawn_one_probe_trial(random, outside == Outside::one_probe_seen);
  }
  if (outside == Outside::converters) return drawn_converted_trial(random);
  if (outside == Outside::alike) return drawn_alike_trial(random);
  if (outside == Outside::solids || outside == Outside::skinned) {
    return drawn_solid_trial(random, outside);
  }
  Trial trial = drawn_trial(random, Display::fine);
  sim::Scenario scenario = scenario_of(trial, random());
  const auto has = [&](Outside one) {
    return outside == Outside::mixture ? by_halves(random) : outside == one;
  };
  if (has(Outside::drifting_vessel)) {
    pour_from_vessel(scenario, trial, random);
    put_probe_into_vessel(scenario);
  }
  if (has(Outside::two_step)) add_second_step(scenario, random);
  if (has(Outside::warming_lid)) add_lid(scenario, random);
  if (has(Outside::drifting_room)) let_room_drift(scenario, random);
  OutsideTrial outside_trial = simulated(scenario, trial);
  if (outside == Outside::late_stamps) {
    stamp_late(outside_trial.cup, trial.interval_s * log_uniform(random, 0.02, 0.2), random);
  }
  if (outside == Outside::held_back) {
    const double from_s = trial.mixing_s + uniform(random, -2.0, 10.0);
    hold_back(outside_trial.cup, from_s, log_uniform(random, 1.0, 8.0));
  }
  return outside_trial;
}

}  // namespace nestcup::bench
