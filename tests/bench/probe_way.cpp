#include "tests/bench/probe_way.hpp"

#include <algorithm>

#include "tests/bench/draw.hpp"

namespace nestcup::bench {

ProbeWay drawn_way(std::mt19937_64& random, Trial& trial, bool pour_seen) {
  ProbeWay way;
  way.leaves_cup_s = trial.mixing_s;
  way.enters_vessel_s = way.leaves_cup_s + log_uniform(random, 3.0, 15.0);
  way.leaves_vessel_s = way.enters_vessel_s + log_uniform(random, 40.0, 120.0);
  way.enters_cup_s = way.leaves_vessel_s + uniform(random, 3.0, 10.0);
  const double after_s = trial.end_s - trial.mixing_s;
  trial.mixing_s = pour_seen ? way.enters_cup_s + uniform(random, 30.0, 60.0)
                             : uniform(random, way.leaves_vessel_s, way.enters_cup_s);
  trial.end_s = trial.mixing_s + after_s;
  return way;
}

void carry_probe(sim::Scenario& scenario, const ProbeWay& way, std::mt19937_64& random) {
  sim::ProbeSettings& probe = scenario.probes.front();
  probe.air_lag_s = log_uniform(random, 20.0, 70.0);
  probe.evaporation_K = uniform(random, 0.5, 3.0);
  probe.dry_s = log_uniform(random, 30.0, 120.0);
  const auto carry = [&](double at_s, sim::Place to) {
    scenario.events.push_back({at_s, sim::CarryProbe{0, to}});
  };
  carry(way.leaves_cup_s, sim::Place::air);
  carry(way.enters_vessel_s, sim::Place::added);
  carry(way.leaves_vessel_s, sim::Place::air);
  carry(way.enters_cup_s, sim::Place::cup);
  std::ranges::stable_sort(scenario.events, {}, &sim::Event::at_s);
}

Curve read_in_cup(CurveView readings, const ProbeWay& way) {
  constexpr double moving_s = 15.0;
  Curve curve;
  for (const Point& point : readings) {
    if (point.time_s < way.leaves_cup_s || point.time_s > way.enters_cup_s + moving_s) {
      curve.push_back(point);
    }
  }
  return curve;
}

}  // namespace nestcup::bench
