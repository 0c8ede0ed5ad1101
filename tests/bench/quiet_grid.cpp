#include "tests/bench/quiet_grid.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "sim/simulate.hpp"
#include "tests/bench/draw.hpp"

namespace nestcup::bench {
namespace {

constexpr double hour_s = 3600.0;
constexpr double capacity_J_per_K = 430.0;
constexpr double fastest_leak_per_s = 2e-3;  // of an open cup in moving air

constexpr std::array names{"drift",  "knock", "lift",   "visit", "draught", "bath",
                           "heater", "gap",   "replug", "lid",   "stir"};
static_assert(names.size() == static_cast<std::size_t>(Disturbance::count));

/// Fills the hour of a scenario with disturbances.
class Filler {
 public:
  Filler(sim::Random& random, QuietHour& hour, Away away)
      : random_(random), hour_(hour), away_(away) {}

  void fill() {
    double now_s = uniform(80.0, 400.0);
    while (now_s < hour_s - 60.0) {
      const auto kind = static_cast<Disturbance>(
          1 + random_.below(static_cast<std::uint64_t>(Disturbance::count) - 1));
      Disturbed event{kind, now_s, now_s};
      add(event);
      hour_.events.push_back(event);
      now_s = event.until_s + uniform(20.0, 400.0);
    }
  }

 private:
  double uniform(double low, double high) { return bench::uniform(random_, low, high); }
  double log(double low, double high) { return log_uniform(random_, low, high); }
  double sign(double value) { return bench::sign(random_) * value; }
  void at(double at_s, decltype(sim::Event::what) what) {
    hour_.scenario.events.push_back({at_s, std::move(what)});
  }

  void add(Disturbed& event) {
    switch (event.kind) {
      case Disturbance::knock:
        return add_knocks(event);
      case Disturbance::lift:
        return add_lift(event);
      case Disturbance::visit:
        return away_ == Away::long_stays ? add_visit(event) : add_lift(event);
      case Disturbance::draught:
        return add_draught(event, sign(uniform(0.0, 3.0)), log(10.0, 900.0));
      case Disturbance::lid:
        return add_draught(event, 0.0, log(20.0, 1200.0));
      case Disturbance::bath:
        return add_bath(event);
      case Disturbance::heater:
        return add_heater(event);
      case Disturbance::gap:
        event.until_s += log(10.0, 600.0);
        return;
      case Disturbance::replug:
        event.until_s += uniform(3.0, 30.0);
        return;
      case Disturbance::stir:
        return at(event.from_s, sim::Stir{uniform(0.0, 0.3)});
      case Disturbance::drift:
      case Disturbance::count:
        return;
    }
  }

  void add_knocks(Disturbed& event) {
    const double offset_K = sign(log(0.1, 2.0));
    const std::uint64_t shape = random_.below(4);
    const std::uint64_t blows = shape == 0 ? 1 : 2 + random_.below(18);
    for (std::uint64_t i = 0; i < blows; ++i) {
      // Struck now and then, alike or to either side, or once with a fading offset.
      const double for_s = shape == 3 ? 0.3 : log(0.05, shape == 0 ? 3.0 : 0.6);
      const double fade = shape == 3 ? std::pow(0.6, static_cast<double>(i)) : 1.0;
      at(event.until_s, sim::Knock{0, shape == 2 ? sign(offset_K) : fade * offset_K, for_s});
      event.until_s += for_s + (shape == 3 ? 0.0 : uniform(0.6, 6.0));
    }
  }

  void add_lift(Disturbed& event) {
    at(event.from_s, sim::CarryProbe{0, sim::Place::air});
    const double there_s = log(5.0, away_ == Away::long_stays ? 600.0 : 120.0);
    event.until_s += there_s;
    at(event.until_s, sim::CarryProbe{0, sim::Place::cup});
  }

  void add_visit(Disturbed& event) {
    at(event.from_s, sim::CarryProbe{0, sim::Place::air});
    const double there_s = event.from_s + uniform(1.5, 15.0);
    at(there_s, sim::CarryProbe{0, sim::Place::added});
    const double leaves_s = there_s + log(10.0, 480.0);
    at(leaves_s, sim::CarryProbe{0, sim::Place::air});
    event.until_s = leaves_s + uniform(1.5, 15.0);
    at(event.until_s, sim::CarryProbe{0, sim::Place::cup});
  }

  void add_draught(Disturbed& event, double air_offset_K, double for_s) {
    const double leak_per_s = hour_.scenario.cup.leak_W_per_K / capacity_J_per_K;
    const double most = fastest_leak_per_s / leak_per_s;
    at(event.from_s, sim::Draught{log(1.2, std::min(8.0, most)), air_offset_K, for_s});
    event.until_s += for_s;
  }

  void add_bath(Disturbed& event) {
    sim::Mix bath;
    bath.trial = "bath";
    bath.from = sim::Source::cup;
    bath.heat_J = sign(uniform(10.0, 40.0)) * capacity_J_per_K;
    if (random_.uniform() < 0.5) {
      bath.pour_s = log(180.0, 1200.0);
    } else {
      bath.pour_s = 1.0;
      bath.release_s = log(180.0, 1200.0);
    }
    at(event.from_s, bath);
    event.until_s += bath.pour_s;
  }

  void add_heater(Disturbed& event) {
    const double for_s = log(60.0, 900.0);
    at(event.from_s, sim::Heat{"heater", log(1.0, 20.0) * capacity_J_per_K / for_s, for_s});
    event.until_s += for_s;
  }

  sim::Random& random_;
  QuietHour& hour_;
  Away away_;
};

sim::ProbeSettings drawn_probe(sim::Random& random) {
  sim::ProbeSettings probe;
  probe.name = "cup";
  probe.lag_s = log_uniform(random, 1.0, 10.0);
  probe.air_lag_s = log_uniform(random, 20.0, 70.0);
  probe.noise_K = log_uniform(random, 0.005, 0.05);
  probe.step_K = one_of(random, steps_K);
  probe.evaporation_K = bench::uniform(random, 0.5, 3.0);
  probe.dry_s = log_uniform(random, 30.0, 120.0);
  return probe;
}

sim::LidSettings drawn_lid(sim::Random& random) {
  return {bench::uniform(random, 5.0, 20.0), log_uniform(random, 0.02, 0.2),
          bench::uniform(random, 0.0, 0.05)};
}

}  // namespace

std::string_view disturbance_name(Disturbance kind) {
  return names[static_cast<std::size_t>(kind)];
}

Disturbed QuietHour::event_before(double time_s) const {
  Disturbed found;
  for (const Disturbed& event : events) {
    if (event.from_s <= time_s) found = event;
  }
  return found;
}

QuietHour drawn_quiet_hour(sim::Random& random, Away away) {
  QuietHour hour;
  sim::Scenario& scenario = hour.scenario;
  scenario.name = "quiet-hour";
  scenario.duration_s = hour_s;
  scenario.interval_s = one_of(random, intervals_s);
  scenario.room = {bench::uniform(random, 18.0, 26.0), bench::uniform(random, -1.0, 1.0),
                   random.uniform() < 0.3 ? 0.0 : bench::uniform(random, 0.0, 1.0),
                   log_uniform(random, 300.0, 2400.0)};
  const double away_K = one_of(random, std::array{2.0, 30.0});
  scenario.cup = {
      capacity_J_per_K, scenario.room.temperature_degC + bench::uniform(random, -away_K, away_K),
      log_uniform(random, 1e-4, 8e-4) * capacity_J_per_K, bench::uniform(random, 0.0, 0.1)};
  if (random.uniform() < 0.3) scenario.lid = drawn_lid(random);
  scenario.added = {scenario.room.temperature_degC + bench::uniform(random, -20.0, 30.0),
                    log_uniform(random, 1e-4, 8e-4)};
  scenario.probes = {drawn_probe(random)};
  Filler(random, hour, away).fill();
  return hour;
}

Curve readings_of(const QuietHour& hour, std::uint64_t seed) {
  const sim::SimulatedRun run = simulate(hour.scenario, seed);
  Curve curve;
  for (std::size_t i = 0; i < run.time_s.size(); ++i) {
    const double time_s = run.time_s[i];
    const Disturbed event = hour.event_before(time_s);
    const bool silent = event.kind == Disturbance::gap || event.kind == Disturbance::replug;
    if (silent && time_s < event.until_s) continue;
    curve.push_back({time_s, run.probes[0].temperature_degC[i]});
  }
  return curve;
}

}  // namespace nestcup::bench
