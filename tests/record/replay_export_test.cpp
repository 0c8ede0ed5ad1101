// Replaying the export of a run gives the same record again.
#include "core/record/replay.hpp"

#include "core/record/calibration_json.hpp"
#include "core/record/export_facts.hpp"
#include "core/record/trial_of_run.hpp"
#include "core/sheet/sheet_file.hpp"
#include "sim/one_trial.hpp"
#include "tests/analysis/followed.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

constexpr TimeUs bench_began_us = 1'780'000'000'123'457;

/// A calibration with numbers of many digits, made so many days before the bench began.
Json some_calibration(double days_before) {
  StoredCalibration row;
  row.number = 3;
  row.wall_us = bench_began_us - to_us(days_before * 86400.0);
  row.calibration = {CalibrationKind::line, 1.0 / 0.03, -1.0 / 7.0, 1.0 / 811.0, 1.0 / 97.0,
                     1.0 / 3001.0,          0.0};
  row.points_json = R"([{"true_degC":0.0},{"true_degC":99.613}])";
  return calibration_json(row, usual_valid_days);
}

RecordContext bench_context(const FinishedRun& run, const std::vector<ProbeRole>& roles) {
  RecordContext context;
  context.source = "bench";
  context.bench = "bench-4";
  context.sheet = {{"title", "A day"}, {"sha256", std::string(64, 'a')}};
  context.trial = {{"name", "warm"}, {"number", 2}, {"purpose", "reaction"}};
  for (const ProbeRole role : roles) {
    ProbeFacts probe;
    probe.name = role_name(role);
    probe.role = role;
    probe.port = "board";
    probe.protocol = "text";
    probe.tolerance_K = 0.2;
    if (role == ProbeRole::cup) {
      probe.calibration = some_calibration(400.3);
      probe.time_constant_s = {{"value", 4.1}, {"u", 0.1}};
    }
    context.probes.push_back(probe_json(probe));
  }
  context.started_wall_us = run.readings.front().time_us;
  context.clock_synchronised = true;
  return context;
}

/// The record without what may differ: the id and wall times.
Json comparable(Json record) {
  for (const char* key : {"id", "started_at", "mixed_at", "finished_at"}) record.erase(key);
  return record;
}

/// Exports each run as the daemon does, replays it and compares; gives the number of runs.
std::size_t check_runs(const BenchReadings& bench, const RunFollower::Settings& settings = {},
                       const Operator& hand = {}) {
  const auto runs = followed(bench, settings, hand);
  for (const FinishedRun& run : runs) {
    const TimeUs first_us = run.readings.front().time_us;
    const MadeRecord made =
        make_record(run, bench.roles, bench_context(run, bench.roles), "one", first_us);
    const std::string text =
        export_comment(made.record) + trace_text(run.readings, bench.roles, {}, first_us);
    const auto trace = parse_trace(text, "readings.csv");
    REQUIRE(trace);
    CHECK(text.find("\"slope_K_per_K\"") != std::string::npos);
    const auto replayed = replay_trace(*trace, {}, [] { return std::string("two"); });
    INFO("run that began " << to_s(first_us - bench_began_us) << " s into the day");
    CHECK(replayed.size() == 1);
    if (replayed.size() != 1) continue;
    CHECK(Json::diff(comparable(made.record), comparable(replayed[0].made.record)).dump() == "[]");
  }
  return runs.size();
}

std::size_t check_scenario(const sim::Scenario& scenario, std::uint64_t seed,
                           const RunFollower::Settings& settings = {}, const Operator& hand = {}) {
  return check_runs(bench_readings(simulate(scenario, seed), bench_began_us, 7'000), settings,
                    hand);
}

/// Amounts of the trial "warm", in which the mixing of the scenario is meant.
Sheet warm_sheet() {
  const auto sheet = parse_sheet(R"toml([sheet]
title = "A day"
[[trial]]
name = "warm"
purpose = "calorimeter constant"
cup = { substance = "water", volume_mL = 50.0, u_volume_mL = 0.2 }
added = { substance = "water", volume_mL = 49.5, u_volume_mL = 0.2 }
)toml",
                                 "day.toml");
  REQUIRE(sheet);
  return *sheet;
}

/// A run with a probe in each vessel, given to the trial, and its export.
struct GivenExport {
  Json record;
  std::string readings;  ///< without the comment
};
GivenExport given_export(const Sheet& sheet, std::uint64_t seed) {
  const auto bench =
      bench_readings(simulate(shipped_scenario("one-trial"), seed), bench_began_us, 7'000);
  const auto runs = followed(bench, {}, {});
  REQUIRE(runs.size() == 1);
  const TimeUs first_us = runs[0].readings.front().time_us;
  GivenExport made{
      make_record(runs[0], bench.roles, bench_context(runs[0], bench.roles), "one", first_us)
          .record,
      trace_text(runs[0].readings, bench.roles, {}, first_us)};
  give_to_trial(made.record, sheet, sheet.trials.front(), 3);
  return made;
}

Json replayed_record(const std::string& text, const ReplayOptions& options) {
  const auto trace = parse_trace(text, "readings.csv");
  REQUIRE(trace);
  const auto replayed = replay_trace(*trace, options, [] { return std::string("two"); });
  REQUIRE(replayed.size() == 1);
  return replayed[0].made.record;
}

/// Two mixings, the second before the after period of the first is complete.
sim::Scenario hurried(double apart_s) {
  sim::Scenario scenario = one_trial_scenario(sim::OneTrial{});
  sim::Event second = scenario.events.front();
  second.at_s += apart_s;
  scenario.events.push_back(second);
  scenario.duration_s += apart_s;
  return scenario;
}

}  // namespace

TEST_CASE("the runs of a whole day replay from their exports", "[many]") {
  sim::Scenario scenario = shipped_scenario("oxide-day");
  scenario.interval_s = GENERATE(0.5, 1.0, 2.0, 5.0);
  INFO("interval " << scenario.interval_s << " s");
  std::size_t runs = 0;
  for (std::uint64_t seed = 1; seed <= 2; ++seed) runs += check_scenario(scenario, seed);
  CHECK(runs >= 12);
}

TEST_CASE("the runs of other scenarios replay from their exports", "[many]") {
  sim::Scenario scenario =
      shipped_scenario(GENERATE("one-trial", "two-step", "slow-lid", "carried-probe"));
  scenario.interval_s = GENERATE(0.2, 1.0);
  INFO(scenario.name << " interval " << scenario.interval_s << " s");
  for (std::uint64_t seed = 1; seed <= 3; ++seed) CHECK(check_scenario(scenario, seed) == 1);
}

TEST_CASE("a run of a heater replays from its export") {
  RunFollower::Settings settings;
  settings.heater = true;
  for (std::uint64_t seed = 1; seed <= 3; ++seed) {
    CHECK(check_scenario(shipped_scenario("heater"), seed, settings) == 1);
  }
}

TEST_CASE("a run cut by the next and the next replay from their exports") {
  const double apart_s = GENERATE(110.0, 140.0, 200.0);
  INFO(apart_s);
  for (std::uint64_t seed = 1; seed <= 3; ++seed) {
    CHECK(check_scenario(hurried(apart_s), seed) == 2);
  }
}

TEST_CASE("a marked run replays from its export") {
  const double mark_s = GENERATE(88.0, 91.0, 120.0);
  INFO(mark_s);
  bool marked = false;
  const Operator hand = [&](RunFollower& follower, TimeUs now_us) {
    if (marked || now_us < bench_began_us + to_us(mark_s)) return;
    follower.mark(bench_began_us + to_us(mark_s) - 300'000);
    marked = true;
  };
  CHECK(check_scenario(one_trial_scenario(sim::OneTrial{}), 5, {}, hand) == 1);
}

TEST_CASE("a run made by a mark alone replays from its export") {
  sim::OneTrial trial;
  trial.rise_K = 0.02;
  bool marked = false;
  const Operator hand = [&](RunFollower& follower, TimeUs now_us) {
    if (marked || now_us < bench_began_us + to_us(90.0)) return;
    follower.mark(now_us);
    marked = true;
  };
  CHECK(check_scenario(one_trial_scenario(trial), 5, {}, hand) == 1);
}

TEST_CASE("a run finished early replays from its export") {
  const double finish_s = GENERATE(95.0, 100.0, 110.0, 150.0);
  INFO(finish_s);
  const Operator hand = [&](RunFollower& follower, TimeUs now_us) {
    if (now_us == bench_began_us + to_us(finish_s)) follower.finish();
  };
  std::size_t runs = 0;
  for (std::uint64_t seed = 1; seed <= 3; ++seed) {
    runs += check_scenario(one_trial_scenario(sim::OneTrial{}), seed, {}, hand);
  }
  CHECK(runs >= 3);
}

TEST_CASE("a run with another after period replays from its export") {
  RunFollower::Settings settings;
  settings.after_period_s = 60.0;
  CHECK(check_scenario(shipped_scenario("one-trial"), 4, settings) == 1);
}

TEST_CASE("a run behind a long wait and a lifted probe replays from its export") {
  sim::Scenario scenario = shipped_scenario("quiet");
  sim::Mix mix;
  mix.trial = "late";
  mix.heat_J = 2600.0;
  mix.release_s = 4.0;
  mix.from = sim::Source::cup;
  scenario.events.push_back({GENERATE(880.0, 1500.0), mix});
  scenario.duration_s = 1800.0;
  for (std::uint64_t seed = 1; seed <= 4; ++seed) CHECK(check_scenario(scenario, seed) == 1);
}

TEST_CASE("the rise over the mean replays by the sheet that the export carries") {
  const Sheet sheet = warm_sheet();
  const GivenExport made = given_export(sheet, GENERATE(1, 2));
  REQUIRE(made.record.at("mixture_rise_K").is_object());
  const std::string carried = export_comment(made.record, sheet.text) + made.readings;
  CHECK(Json::diff(comparable(made.record), comparable(replayed_record(carried, {}))).dump() ==
        "[]");
}

TEST_CASE("the rise over the mean replays by the sheet and trial that are named") {
  const Sheet sheet = warm_sheet();
  const GivenExport made = given_export(sheet, 3);
  const std::string bare = export_comment(made.record) + made.readings;
  CHECK(replayed_record(bare, {}).at("mixture_rise_K").is_null());
  ReplayOptions named;
  named.sheet = sheet;
  named.trial = "warm";
  CHECK(Json::diff(comparable(made.record), comparable(replayed_record(bare, named))).dump() ==
        "[]");
  // Another sheet wins over the one that the export carries.
  Sheet other = sheet;
  other.trials.front().cup->volume_mL = 80.0;
  named.sheet = other;
  const Json by_other =
      replayed_record(export_comment(made.record, sheet.text) + made.readings, named);
  CHECK(by_other.at("mixture_rise_K").at("value").get<double>() >
        made.record.at("mixture_rise_K").at("value").get<double>() + 1.0);
}
