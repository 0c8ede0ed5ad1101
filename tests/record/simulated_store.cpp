#include "tests/record/simulated_store.hpp"

#include <fmt/format.h>

#include <stdexcept>
#include <vector>

#include "core/base/time_text.hpp"
#include "core/record/replay.hpp"
#include "core/record/revise.hpp"
#include "core/record/seal.hpp"
#include "core/record/trial_of_run.hpp"
#include "core/sheet/sheet_file.hpp"
#include "sim/scenario.hpp"
#include "sim/simulate.hpp"

namespace nestcup {
namespace {

constexpr TimeUs began_us = 1'780'000'000'000'000;
constexpr TimeUs apart_us = 3'600'000'000;

template <class T>
T needed(Result<T> result) {
  if (!result) throw std::runtime_error(result.error().text);
  return std::move(result).value();
}

void needed(const Result<void>& result) {
  if (!result) throw std::runtime_error(result.error().text);
}

/// A run that begins at time 0 of the bench's axis.
struct Pattern {
  std::vector<Reading> readings;
  std::vector<ProbeRole> roles;
  Json record;
};

std::string id_of(int number, int bench = 0) {
  return uuid_v7(static_cast<std::uint64_t>((began_us + number * apart_us) / 1000),
                 {1, 2, 3, 4, 5, 6, 7, static_cast<std::uint8_t>(8 + bench),
                  static_cast<std::uint8_t>(number >> 8), static_cast<std::uint8_t>(number)});
}

Pattern pattern(std::uint64_t seed, const std::string& bench) {
  const auto scenario =
      needed(sim::read_scenario(std::string(SIMULATED_STORE_SCENARIOS) + "/one-trial.toml"));
  const Trace trace = needed(parse_trace(sim::trace_csv(simulate(scenario, seed)), "made.csv"));
  const auto runs = replay_trace(trace, {}, [] { return id_of(0); });
  if (runs.size() != 1) throw std::runtime_error("not one run was found in the scenario");
  RecordContext context;
  context.source = "bench";
  context.bench = bench;
  for (const ProbeRole role : trace.roles) {
    ProbeFacts probe;
    probe.name = role_name(role);
    probe.role = role;
    context.probes.push_back(probe_json(probe));
  }
  context.started_wall_us = began_us;
  FinishedRun run = runs.front().run;
  const TimeUs first_us = run.readings.front().time_us;
  Pattern made{run.readings, trace.roles,
               make_record(run, trace.roles, context, id_of(0), first_us).record};
  for (Reading& reading : made.readings) reading.time_us -= first_us;
  return made;
}

/// The record as that of a later run, perhaps by an older analysis.
Json record_of(const Pattern& like, int number, const SimulatedStore& wanted, const Sheet& sheet) {
  Json record = like.record;
  record["id"] = id_of(number, wanted.bench);
  for (const char* key : {"started_at", "mixed_at", "finished_at"}) {
    const TimeUs at_us = parse_rfc3339(record.at(key).get<std::string>()).value();
    record[key] = rfc3339(at_us + number * apart_us);
  }
  give_to_trial(record, sheet, sheet.trials.front(), number);
  if (wanted.analysis != analysis_version) {
    record["software"]["analysis"] = wanted.analysis;
    Json& rise = record["corrected_rise_K"]["value"];
    rise = rise.get<double>() + simulated_earlier_rise_K;
  }
  seal(record);
  return record;
}

void add_run(Store& store, const Pattern& like, int number, const Json& record) {
  std::vector<Reading> readings = like.readings;
  for (Reading& reading : readings) reading.time_us += began_us + number * apart_us;
  needed(store.add(readings, {}));
  StoredRun run;
  run.id = record.at("id").get<std::string>();
  run.first_us = readings.front().time_us;
  run.last_us = readings.back().time_us;
  run.status = "finished";
  run.record_json = record.dump();
  needed(store.add_run(run, {"finished", "", "bench", run.last_us}));
}

}  // namespace

void make_simulated_store(const std::string& path, const SimulatedStore& wanted) {
  Store store = needed(Store::open(path, StoreMode::write));
  const Sheet sheet = needed(parse_sheet(simulated_sheet, "day.toml"));
  needed(store.keep_sheet(stored_sheet(sheet, began_us)));
  std::vector<Pattern> kinds;
  for (int i = 0; i < wanted.kinds; ++i) {
    kinds.push_back(pattern(static_cast<std::uint64_t>(wanted.first_seed + i), wanted.name));
  }
  std::vector<StoredProbe> probes;
  for (const ProbeRole role : kinds.front().roles) {
    probes.push_back({std::string(role_name(role)), role, "degC", "{}"});
  }
  needed(store.register_probes(probes));
  for (int number = 1; number <= wanted.runs; ++number) {
    const Pattern& like = kinds[static_cast<std::size_t>(number - 1) % kinds.size()];
    add_run(store, like, number, record_of(like, number, wanted, sheet));
  }
  if (!wanted.login.empty()) {
    const TimeUs later_us = began_us + (wanted.runs + 1) * apart_us;
    needed(change_status(store, std::to_string(wanted.runs), "struck",
                         {"struck", "spilt, a \"trial\"", wanted.login, later_us}));
  }
  needed(store.checkpoint(true));
}

}  // namespace nestcup
