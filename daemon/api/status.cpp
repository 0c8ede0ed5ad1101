#include "daemon/api/status.hpp"

#include <fmt/format.h>

#include "core/base/time_text.hpp"
#include "core/base/version.hpp"
#include "core/record/trial_of_run.hpp"
#include "core/store/set_aside.hpp"
#include "core/store/sqlite_release.hpp"
#include "daemon/api/sign_in_api.hpp"
#include "daemon/base/or_null.hpp"
#include "daemon/bench/bench_advice.hpp"
#include "daemon/bench/next_trial.hpp"

namespace nestcup::daemon {
namespace {

using Json = nlohmann::ordered_json;

Json fault_counts(const drivers::FaultCounts& counts) {
  Json json = Json::object();
  for (std::size_t i = 0; i < drivers::line_fault_kinds; ++i) {
    const auto kind = static_cast<drivers::LineFault>(i);
    if (counts.of(kind) > 0) json[std::string(drivers::fault_name(kind))] = counts.of(kind);
  }
  return json;
}

Json probes_json(Bench& bench, Json& problems) {
  const TimeUs now_us = bench.clock().now_us();
  const std::vector<ProbeState> states = bench.probes();
  Json list = Json::array();
  for (std::size_t i = 0; i < states.size(); ++i) {
    const ProbeSettings& probe = bench.file().probes[i];
    const ProbeState& state = states[i];
    std::optional<double> age_s, steady_s;
    if (state.counts.last_us) age_s = to_s(now_us - *state.counts.last_us);
    if (const auto since = state.drift.steady_since_us) steady_s = to_s(now_us - *since);
    const bool stale = state.stale;
    if (stale) problems.push_back(fmt::format("probe {}: no reading", probe.name));
    if (state.health == ProbeHealth::frozen) {
      problems.push_back(fmt::format("probe {}: frozen", probe.name));
    }
    if (state.rate.is_flooded(now_us)) {
      problems.push_back(fmt::format("probe {}: a flood of readings", probe.name));
    }
    list.push_back(
        {{"name", probe.name},
         {"role", role_name(probe.role)},
         {"port", probe.port},
         {"last_degC", stale ? Json(nullptr) : or_null(state.counts.last_degC)},
         {"age_s", or_null(age_s)},
         {"stale", stale},
         {"health", health_name(state.health)},
         {"steady_since_us", stale ? Json(nullptr) : or_null(state.drift.steady_since_us)},
         {"steady_for_s", stale ? Json(nullptr) : or_null(steady_s)},
         {"drift_K_per_min", stale ? Json(nullptr) : or_null(state.drift.K_per_min)},
         {"readings", state.counts.readings},
         {"dropped", state.rate.dropped()},
         {"faults", fault_counts(state.counts.faults)}});
  }
  return list;
}

Json ports_json(Bench& bench, Json& problems) {
  Json list = Json::array();
  for (const drivers::PortHealth& port : bench.ports()) {
    const std::string state(drivers::state_name(port.line.state));
    if (port.line.state == drivers::LineState::waiting ||
        port.line.state == drivers::LineState::silent) {
      problems.push_back(fmt::format("port {}: {}: {}", port.port, state, port.line.reason));
    }
    list.push_back({{"name", port.port},
                    {"state", state},
                    {"reason", port.line.reason},
                    {"for_s", to_s(bench.clock().now_us() - port.line.since_us)},
                    {"adapter", port.adapter ? Json(port.adapter->text()) : Json(nullptr)},
                    {"opens", port.serial.opens},
                    {"bytes", port.serial.bytes},
                    {"data_lines", port.lines.data},
                    {"faulty_lines", port.lines.faulty},
                    {"faults", fault_counts(port.lines.faults)},
                    {"requests_unanswered", port.requests.unanswered},
                    {"answers_broken_off", port.requests.broken_off},
                    {"late_lines", port.lines.late}});
  }
  return list;
}

Json run_json(Bench& bench) {
  const FollowedRun followed = bench.run();
  const TimeUs now_us = bench.clock().now_us();
  Json run{{"state", run_state_name(followed.state)}};
  const auto since_s = [&](const std::optional<TimeUs>& time_us) {
    return time_us ? Json(to_s(now_us - *time_us)) : Json(nullptr);
  };
  run["since_onset_s"] = since_s(followed.onset_us);
  run["after_period_s"] = since_s(followed.settled_us);
  run["after_period_wanted_s"] = bench.file().after_period_s;
  run["onset_us"] = or_null(followed.onset_us);
  run["settled_us"] = or_null(followed.settled_us);
  run["last_withdrawal"] = followed.last_withdrawal;
  const auto provisional = bench.provisional();
  run["provisional"] = provisional ? provisional_json(*provisional) : Json(nullptr);
  run["last_finished"] = nullptr;
  if (const auto& last = bench.last_run()) {
    run["last_finished"] = {
        {"id", last->id}, {"number", last->number}, {"stored_after_ms", last->stored_after_ms}};
  }
  return run;
}

/// The sheet in use and the trial that the next run will be given to.
Json sheet_json(Bench& bench) {
  const TrialState state = bench.trials().state();
  if (!state.sheet) return nullptr;
  Json json = sheet_facts(*state.sheet);
  json["next_trial"] = next_trial_json(state);
  return json;
}

Json store_json(const StatusSources& from, Json& problems) {
  Bench& bench = from.bench;
  const RecorderStatus status = bench.recorder().status();
  if (!status.error.empty()) {
    problems.push_back(fmt::format("store: {}; {} readings are held in memory", status.error,
                                   status.held_readings));
  }
  if (status.lost_readings > 0) {
    problems.push_back(fmt::format("store: {} readings could not be kept", status.lost_readings));
  }
  if (status.silent_s > longest_silence_s) {
    problems.push_back(
        fmt::format("store: its disk has not answered for {:.0f} s", status.silent_s));
  }
  if (from.check.state() == StoreCheckState::damaged) {
    problems.push_back(fmt::format("store: damaged: {}", from.check.problem()));
  }
  const HousekeepingStatus kept = from.housekeeping.status();
  const auto set_aside = stores_set_aside(bench.file().store);
  for (const std::string& path : set_aside) {
    problems.push_back(
        fmt::format("store: was damaged and set aside as {}; bring its runs back with "
                    "nestcup import, then move that file elsewhere",
                    path));
  }
  return {{"path", bench.file().store},
          {"set_aside", set_aside},
          {"committed_readings", status.committed_readings},
          {"commits", status.commits},
          {"failed_commits", status.failed_commits},
          {"held_readings", status.held_readings},
          {"lost_readings", status.lost_readings},
          {"error", status.error},
          {"log_pages", status.log_pages},
          {"longest_commit_ms", status.longest_commit_ms},
          {"silent_s", status.silent_s},
          {"check", store_check_name(from.check.state())},
          {"keep_readings_days", or_null(bench.file().keep_readings_days)},
          {"removed_readings", kept.removed_readings},
          {"pages_given_back", kept.pages_given_back},
          {"longest_removal_ms", kept.longest_step_ms},
          {"removal_held", kept.held},
          {"sqlite_version", sqlite_version()},
          {"wal_reset_race", has_wal_reset_race(sqlite_version_number())}};
}

Json notebooks_json(const Delivery& delivery, Json& problems) {
  Json list = Json::array();
  for (const NotebookState& notebook : delivery.states()) {
    if (!notebook.failure.empty()) {
      problems.push_back(
          fmt::format("{}: {} waiting: {}", notebook.name, notebook.waiting, notebook.failure));
    }
    list.push_back(
        {{"name", notebook.name}, {"waiting", notebook.waiting}, {"failure", notebook.failure}});
  }
  return list;
}

/// What the service manager is told; null where there is none.
Json service_json(const ServiceState& service) {
  if (!service.has_manager) return nullptr;
  return {{"told", service.told},
          {"watchdog_s", or_null(service.watchdog_s)},
          {"since_sign_s", or_null(service.since_sign_s)},
          {"withheld", service.withheld}};
}

}  // namespace

Json bench_status(const StatusSources& from) {
  Bench& bench = from.bench;
  Json problems = Json::array();
  Json status{{"bench", bench.file().name}};
  status["well"] = false;
  status["run"] = run_json(bench);
  status["advice"] = advice_json(bench_advice(bench));
  status["sheet"] = sheet_json(bench);
  status["results_hidden"] = bench.results_hidden();
  status["has_class"] = bench.file().class_place.has_value();
  status["probes"] = probes_json(bench, problems);
  status["ports"] = ports_json(bench, problems);
  status["store"] = store_json(from, problems);
  status["notebooks"] = notebooks_json(from.delivery, problems);
  const SamplerStatus sampler = bench.sampler();
  status["sampler"] = {{"interval_s", bench.file().interval_s},
                       {"ticks", sampler.ticks},
                       {"missed", sampler.missed},
                       {"late_median_us", sampler.late_median_us},
                       {"late_p99_us", sampler.late_p99_us}};
  status["clock"] = {{"now_us", bench.clock().now_us()},
                     {"now", rfc3339(bench.clock().wall_us())},
                     {"synchronised", or_null(bench.clock().synchronised())},
                     {"steps", bench.clock_steps()},
                     {"speed", from.speed}};
  status["service"] = service_json(from.service);
  status["record_changes"] = bench.record_changes();
  status["version"] = version_text;
  status["well"] = problems.empty();
  status["problems"] = std::move(problems);
  return status;
}

Json status_for_caller(const StatusSources& from, const Caller& caller) {
  Json status = bench_status(from);
  const bool hidden = from.bench.results_hidden() && !caller.is_local;
  if (hidden && status["run"]["provisional"].is_object()) {
    status["run"]["provisional"] = {{"hidden", true}};
  }
  status["access"] = role_word(caller.role);
  status["who"] = caller.name;
  return status;
}

}  // namespace nestcup::daemon
