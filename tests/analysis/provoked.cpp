#include "tests/analysis/provoked.hpp"

#include <algorithm>
#include <map>
#include <utility>

#include "tests/catch.hpp"

namespace nestcup {
namespace {

constexpr double mixing_s = 100.0;
constexpr std::size_t cup = 0, added = 1;
using List = std::vector<Provoked>;

sim::Mix& mix_of(sim::Event& event) {
  return std::get<sim::Mix>(event.what);
}

sim::Scenario mixing_at(double at_s) {
  sim::Scenario scenario = warm_water();
  scenario.events.front().at_s = at_s;
  return scenario;
}

sim::Scenario lasting(sim::Scenario scenario, double duration_s) {
  scenario.duration_s = duration_s;
  return scenario;
}

/// Silence on the line.
sim::Scenario silent(double from_s, double for_s) {
  sim::Scenario scenario = warm_water();
  scenario.faults = {{from_s, sim::LineFaultKind::stall, for_s}};
  return scenario;
}

/// Something on the way holds back what comes meanwhile, and lets go of all of it at once.
sim::Scenario held_back(double from_s, double for_s) {
  sim::Scenario scenario = warm_water();
  scenario.faults = {{from_s, sim::LineFaultKind::delay, 0.5, for_s}};
  return scenario;
}

/// The board sends the mean of so many readings, a reading at a time. Their noise is such that the
/// last digit does not hide what is left of it.
sim::Scenario averaging(std::size_t readings) {
  sim::Scenario scenario = warm_water();
  for (sim::ProbeSettings& probe : scenario.probes) {
    probe.averaged = readings;
    probe.noise_K = 0.03;
  }
  return scenario;
}

/// The board repeats what it sent last.
sim::Scenario frozen(double from_s, double for_s) {
  sim::Scenario scenario = warm_water();
  scenario.faults = {{from_s, sim::LineFaultKind::freeze, for_s}};
  return scenario;
}

/// The cup's probe comes out of a warmer room, and the pour follows as soon as it seems to stand.
sim::Scenario plunged() {
  sim::Scenario scenario = mixing_at(85.0);
  scenario.room.temperature_degC = 23.0;
  scenario.probes[cup].place = sim::Place::air;
  return with(scenario, {{3.0, sim::CarryProbe{cup, sim::Place::cup}}});
}

/// The rest of the solid follows `later_s` behind the first part.
sim::Scenario in_two_goes(double later_s) {
  sim::Scenario scenario = dissolving(2700.0, 6.0);
  sim::Event rest = scenario.events.front();
  rest.at_s = mixing_s + later_s;
  mix_of(rest).heat_J = 1000.0;
  return lasting(with(scenario, {rest}), 400.0);
}

sim::Scenario unstirred(sim::Scenario scenario) {
  scenario.layers = sim::LayerSettings{};
  scenario.cup.stirring_W = 0.0;
  return scenario;
}

sim::Scenario stirrer_stops(double at_s) {
  sim::Scenario scenario = dissolving(2700.0, 5.0);
  scenario.layers = sim::LayerSettings{.wander_K = 0.015, .wander_s = 10.0};
  return lasting(with(scenario, {{at_s, sim::Stir{0.0}}}), 420.0);
}

sim::Scenario struck(const std::vector<double>& times_s) {
  sim::Scenario scenario = warm_water();
  for (const double at_s : times_s) scenario = with(scenario, {{at_s, sim::Knock{cup, 0.4, 0.6}}});
  return scenario;
}

sim::Scenario hardly_immersed() {
  sim::Scenario scenario = dissolving(2700.0, 18.0);
  scenario.probes[cup].immersed = 0.12;
  return lasting(scenario, 500.0);
}

sim::Scenario on_the_bottom() {
  sim::Scenario scenario = dissolving(2700.0, 20.0);
  scenario.probes[cup].lag_s = 25.0;
  return lasting(scenario, 500.0);
}

sim::Scenario lid_off() {
  sim::Scenario scenario = warm_water();
  scenario.cup.leak_W_per_K = 0.9;
  return scenario;
}

sim::Scenario hardly_warmer() {
  sim::Scenario scenario = warm_water();
  scenario.added.temperature_degC = 21.05;
  scenario.probes[cup].noise_K = 0.05;
  return scenario;
}

sim::Scenario window_open() {
  sim::Scenario scenario = warm_water();
  scenario.room.drift_K_per_h = 15.0;
  scenario.probes.push_back(scenario.probes[cup]);
  scenario.probes.back().name = "room";
  scenario.probes.back().place = sim::Place::air;
  return scenario;
}

/// Behind the mixing the second probe goes into the cup, too.
sim::Scenario joined(double offset_K) {
  sim::Scenario scenario = warm_water();
  scenario.probes[added].offset_K = offset_K;
  return with(scenario, {{105.0, sim::CarryProbe{added, sim::Place::air}},
                         {112.0, sim::CarryProbe{added, sim::Place::cup}}});
}

sim::Scenario both_in_cup(double offset_K) {
  sim::Scenario scenario = dissolving(2700.0, 5.0);
  scenario.probes[added].place = sim::Place::cup;
  scenario.probes[added].offset_K = offset_K;
  return scenario;
}

List about_periods() {
  const std::string short_after = "short-after-period", cut = "cut-short";
  sim::Event next = dissolving(3000.0, 2.0).events.front();
  next.at_s = 235.0;
  return {
      {"poured at once", "no-foreperiod", mixing_at(0.6), {{"readings", 1, 2}}, {}, marking(0.6)},
      {"stopped at once",
       "no-after-period",
       lasting(warm_water(), 101.0),
       {{"readings", 1, 2}},
       {},
       marking(mixing_s)},
      {"poured soon", "short-foreperiod", mixing_at(32.0), {{"length_s", 30, 33}}},
      {"poured before the probe was steady",
       "foreperiod-not-steady",
       plunged(),
       {{"dropped_s", 20, 45}, {"off_K", 1.5, 2.5}},
       {"short-foreperiod"}},
      {"stopped soon", short_after, lasting(warm_water(), 210.0), {{"length_s", 60, 100}}},
      {"stopped while it still dissolved",
       "never-settled",
       lasting(dissolving(2700.0, 60.0), 260.0),
       {},
       {short_after, "rise-small", "mixing-slow"}},
      {"coarse crystals",
       "mixing-slow",
       lasting(dissolving(2700.0, 38.0), 700.0),
       {{"length_s", 160, 200}},
       {short_after, cut}},
      {"the next trial poured into the same cup",
       cut,
       lasting(with(warm_water(), {next}), 500.0),
       {},
       {short_after}},
  };
}

List about_line() {
  return {
      {"silence at the pour", "gap-at-mixing", silent(97.0, 9.0), {{"gap_s", 9.0, 10.0}}},
      {"silence later",
       "gap",
       silent(200.0, 15.0),
       {{"gap_s", 15.0, 16.0}, {"from_s", 199.4, 200.1}}},
      {"readings of the pour come in a bunch",
       "readings-late",
       held_back(100.9, 2.8),
       {{"readings", 5, 7}, {"held_s", 2.7, 3.4}, {"from_s", 99.9, 101.1}}},
      {"the board sends the mean of its last five readings",
       "readings-alike",
       averaging(5),
       {{"one_in", 3, 16}}},  // a variance of some dozens of readings tells it
      {"the board repeats its last line",
       "frozen-source",
       frozen(220.0, 16.0),
       {{"from_s", 217.0, 220.5}, {"for_s", 15.0, 20.0}},
       {"model-does-not-fit"}},
      {"marked too early",
       "mark-contradicts-trace",
       warm_water(),
       {{"apart_s", 49.0, 51.0}},
       {},
       marking(50.0)},
  };
}

List about_stirring() {
  const WantedValue wander{"wander_K", 0.004, 0.02};
  const std::vector<std::string> blurred{"short-after-period", "foreperiod-not-steady",
                                         "rise-small"};
  const WantedValue step{"step_K", 1.9, 2.6};  // 2.27 K, and what the first part still had to give
  return {
      {"never stirred, water", "stirring-off", unstirred(warm_water()), {wander}, blurred},
      {"as shipped", "stirring-off", shipped_scenario("still"), {wander}, blurred},
      {"stirrer stops", "stirring-off", stirrer_stops(125.0), {wander}, blurred},
      {"the bar strikes the probe",
       "knocks",
       struck({20.2, 61.0, 150.3, 222.2, 280.1}),
       {{"knocks", 5, 5}, {"readings", 5, 10}}},
      {"little of the probe in the liquid", "probe-slow", hardly_immersed(), {{"delay_s", 15, 25}}},
      {"probe on the bottom",
       "probe-slow",
       on_the_bottom(),
       {{"delay_s", 18, 27}},
       {"mixing-slow"}},
      {"poured in two goes at once",
       "model-does-not-fit",
       in_two_goes(15.0),
       {{"surplus", 2, 20}},
       {},
       marking(mixing_s)},
      {"the rest half a minute later",
       "second-mixing",
       in_two_goes(30.0),
       {{"after_s", 26, 36}, step},
       {},
       marking(mixing_s)},
      {"the rest a minute later",
       "second-mixing",
       in_two_goes(60.0),
       {{"after_s", 56, 66}, step},
       {},
       marking(mixing_s)},
  };
}

List about_cup_and_probes() {
  return {
      {"no lid", "leak-unusual", lid_off(), {{"rate_per_s", 1.8e-3, 2.3e-3}}},
      {"too little of it",
       "rise-small",
       hardly_warmer(),
       {{"rise_K", 0.03, 0.11}, {"u_K", 3e-3, 0.02}},
       {"short-after-period"},
       marking(mixing_s)},
      {"a window opened", "room-changed", window_open(), {{"change_K", 0.6, 1.2}}},
      {"as shipped",
       "probes-disagree",
       shipped_scenario("two-in-cup"),
       {{"offset_K", 0.115, 0.135}}},
      {"0.15 K apart", "probes-disagree", joined(0.15), {{"offset_K", 0.14, 0.16}}},
      {"0.08 K apart, the other way",
       "probes-disagree",
       both_in_cup(-0.08),
       {{"offset_K", -0.09, -0.07}}},
  };
}

/// The probe was calibrated so many days before a run, for a year.
Knowledge calibrated_before(double age_days) {
  return [age_days](RunInput& input) {
    input.calibration = Calibration{};
    input.calibration_age = CalibrationAge{age_days, 365.0};
  };
}

List about_calibration() {
  return {{"calibrated long ago",
           "calibration-old",
           warm_water(),
           {{"age_days", 400.0, 400.0}, {"valid_days", 365.0, 365.0}},
           {},
           {},
           calibrated_before(400.0)}};
}

}  // namespace

sim::Scenario warm_water() {
  return shipped_scenario("one-trial");
}

sim::Scenario dissolving(double heat_J, double release_s) {
  sim::Scenario scenario = warm_water();
  scenario.cup.heat_capacity_J_per_K = 440.0;
  sim::Mix& mix = mix_of(scenario.events.front());
  mix.from = sim::Source::room;
  mix.added_J_per_K = 0.7;
  mix.heat_J = heat_J;
  mix.release_s = release_s;
  return scenario;
}

sim::Scenario with(sim::Scenario scenario, const std::vector<sim::Event>& events) {
  scenario.events.insert(scenario.events.end(), events.begin(), events.end());
  std::stable_sort(scenario.events.begin(), scenario.events.end(),
                   [](const sim::Event& a, const sim::Event& b) { return a.at_s < b.at_s; });
  return scenario;
}

Operator marking(double time_s) {
  return [time_s](RunFollower& follower, TimeUs now_us) {
    const TimeUs late_us = now_us - to_us(time_s);
    if (late_us >= 0 && late_us < us_per_s / 2) follower.mark(to_us(time_s));
  };
}

std::vector<Provoked> provoked_findings() {
  List all;
  for (const List& some : {about_periods(), about_line(), about_stirring(), about_cup_and_probes(),
                           about_calibration()}) {
    all.insert(all.end(), some.begin(), some.end());
  }
  return all;
}

namespace {

bool is_within(double time_s, const sim::LineFault& fault) {
  return time_s >= fault.at_s && time_s < fault.at_s + fault.for_s;
}

/// Nothing overtakes what comes late.
void hold_back(std::vector<Reading>& readings, const sim::LineFault& fault) {
  constexpr TimeUs apart_us = 90;  // a line of text at 1 Mbit/s
  TimeUs sent_us = readings.front().time_us, came_us = sent_us;
  for (Reading& reading : readings) {
    const TimeUs held_us = is_within(to_s(reading.time_us), fault) ? to_us(fault.delay_s) : 0;
    // Two probes share a line.
    if (reading.time_us != std::exchange(sent_us, reading.time_us)) {
      came_us = std::max(reading.time_us + held_us, came_us + apart_us);
    }
    reading.time_us = came_us;
  }
}

/// What a line with these faults loses, repeats or holds back.
void spoil(std::vector<Reading>& readings, const std::vector<sim::LineFault>& faults) {
  for (const sim::LineFault& fault : faults) {
    const bool silent =
        fault.kind == sim::LineFaultKind::stall || fault.kind == sim::LineFaultKind::unplug;
    if (silent) {
      std::erase_if(readings, [&](const Reading& r) { return is_within(to_s(r.time_us), fault); });
    }
    if (fault.kind == sim::LineFaultKind::delay) hold_back(readings, fault);
    if (fault.kind != sim::LineFaultKind::freeze) continue;
    std::map<std::uint16_t, double> last;
    for (Reading& reading : readings) {
      const bool repeats = is_within(to_s(reading.time_us), fault) && last.contains(reading.probe);
      if (repeats) reading.temperature_degC = reading.raw = last[reading.probe];
      last[reading.probe] = reading.temperature_degC;
    }
  }
}

}  // namespace

std::vector<RunAnalysis> analyses_of(const sim::Scenario& scenario, std::uint64_t seed,
                                     const Operator& hand, RunFollower::Settings settings,
                                     const Knowledge& known) {
  BenchReadings bench = bench_readings(simulate(scenario, seed));
  spoil(bench.readings, scenario.faults);
  std::vector<RunAnalysis> analyses;
  for (const FinishedRun& run : followed(bench, settings, hand)) {
    RunInput input = run_input(run, bench.roles);
    if (known) known(input);
    analyses.push_back(analyse_run(input));
  }
  return analyses;
}

const Finding* finding_in(const RunAnalysis& run, const std::string& code) {
  const auto at = std::find_if(run.findings.begin(), run.findings.end(),
                               [&](const Finding& finding) { return finding.code == code; });
  return at == run.findings.end() ? nullptr : &*at;
}

}  // namespace nestcup
