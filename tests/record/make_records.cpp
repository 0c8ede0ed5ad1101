// Prints one record of each kind, each on a line after its name and a tab, for schema_test.py.
#include <fmt/format.h>

#include <cstdio>

#include "core/record/calibration_json.hpp"
#include "core/record/replay.hpp"
#include "core/sheet/sheet_file.hpp"
#include "sim/one_trial.hpp"
#include "sim/simulate.hpp"

using namespace nestcup;

namespace {

constexpr const char* sheet_text = R"toml([sheet]
title = "A day"
[[trial]]
name = "warm"
purpose = "calorimeter constant"
cup = { substance = "water", volume_mL = 50.0, u_volume_mL = 0.2 }
added = { substance = "water", volume_mL = 50.0, u_volume_mL = 0.2 }
)toml";

std::string run_id() {
  return "019adb5c-9d2e-7c6b-8a3c-2f0d5e7b9a10";
}

Trace trace_of(const sim::Scenario& scenario) {
  auto trace = parse_trace(trace_csv(simulate(scenario, scenario.seed)), "made.csv");
  return trace.value();
}

sim::Scenario with_added(sim::Scenario scenario) {
  sim::ProbeSettings added;
  added.name = "added";
  added.place = sim::Place::added;
  scenario.probes.push_back(added);
  return scenario;
}

void show(const char* name, const Json& record) {
  fmt::print("{}\t{}\n", name, record.dump());
}

/// The record as a bench writes it: with bench, sheet, trial and wall times.
Json bench_record(const FinishedRun& run, const std::vector<ProbeRole>& roles) {
  RecordContext context;
  context.source = "bench";
  context.bench = "bench-4";
  context.sheet = {{"title", "A day"}, {"sha256", std::string(64, 'a')}};
  context.trial = {{"name", "warm"}, {"number", 2}, {"purpose", "calorimeter constant"}};
  ProbeFacts probe;
  probe.name = "cup";
  probe.port = "board";
  probe.protocol = "text";
  probe.tolerance_K = 0.2;
  StoredCalibration calibration;
  calibration.number = 1;
  calibration.wall_us = 1'770'000'000'123'456;
  calibration.calibration = {CalibrationKind::line, 40.0, -0.2, 0.001, 0.01, 0.0003, 0.0};
  calibration.points_json = R"([{"true_degC":0.0},{"true_degC":99.6}])";
  probe.calibration = calibration_json(calibration, usual_valid_days);
  probe.time_constant_s = {{"value", 4.1}, {"u", 0.1}};
  context.probes.push_back(probe_json(probe));
  context.started_wall_us = 1'780'000'000'123'456;
  context.clock_synchronised = true;
  return make_record(run, roles, context, run_id(), run.readings.front().time_us).record;
}

Json first_record(const Trace& trace, const ReplayOptions& options = {}) {
  return replay_trace(trace, options, run_id).at(0).made.record;
}

}  // namespace

int main() {
  const sim::Scenario scenario = sim::one_trial_scenario(sim::OneTrial{});
  const Trace trace = trace_of(scenario);
  const ReplayedRun replayed = replay_trace(trace, {}, run_id).at(0);
  show("replayed", replayed.made.record);
  const Json finished = bench_record(replayed.run, trace.roles);
  show("finished", finished);
  show("struck", with_status(finished, "struck", 2));
  show("with added probe", first_record(trace_of(with_added(scenario))));
  ReplayOptions by_sheet;
  by_sheet.sheet = parse_sheet(sheet_text, "day.toml").value();
  by_sheet.trial = "warm";
  show("with a trial", first_record(trace_of(with_added(scenario)), by_sheet));
  ReplayOptions marked;
  marked.mark_s = 90.0;
  show("marked", first_record(trace, marked));
  sim::OneTrial hasty;
  hasty.foreperiod_s = 0.9;
  marked.mark_s = 0.9;
  show("unusable", first_record(trace_of(sim::one_trial_scenario(hasty)), marked));
  return 0;
}
