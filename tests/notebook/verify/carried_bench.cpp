#include "tests/notebook/verify/carried_bench.hpp"

#include <fmt/format.h>
#include <sqlite3.h>

#include <map>
#include <stdexcept>

#include "core/record/revise.hpp"
#include "core/record/run_record.hpp"
#include "core/record/trial_of_run.hpp"
#include "core/sheet/sheet_file.hpp"
#include "sim/one_trial.hpp"
#include "tests/analysis/followed.hpp"
#include "tests/record/simulated_store.hpp"

namespace nestcup::testing {
namespace {

namespace fs = std::filesystem;

constexpr TimeUs began_us = 1'790'000'000'123'457;
constexpr TimeUs apart_us = 900'000'000;

constexpr const char* bench_text = R"toml([bench]
name = "bench-4"
store = "bench.db"
[[port]]
name = "board"
device = "/dev/null"
protocol = "text"
[[probe]]
name = "cup"
role = "cup"
port = "board"
column = 1
unit = "degC"
[[notebook]]
kind = "folder"
path = "notebook"
)toml";

RecordContext context_of(const FinishedRun& run, const std::string& bench) {
  RecordContext context;
  context.source = "bench";
  context.bench = bench;
  ProbeFacts probe;
  probe.name = "cup";
  probe.port = "board";
  probe.protocol = "text";
  probe.tolerance_K = 0.2;
  probe.raw_unit = "ohm";
  context.probes.push_back(probe_json(probe));
  context.started_wall_us = run.readings.front().time_us;
  context.clock_synchronised = true;
  return context;
}

/// One run from simulated readings, stored as the daemon stores it.
void add_run(Store& store, const Sheet& sheet, const std::string& name, int number) {
  sim::OneTrial trial;
  trial.rise_K = 4.0 + number;
  trial.seed = static_cast<std::uint64_t>(number);
  BenchReadings bench =
      bench_readings(simulate(one_trial_scenario(trial), trial.seed), began_us + number * apart_us);
  // As a thermistor sends it: a resistance of many digits.
  for (Reading& reading : bench.readings) reading.raw = 1e6 / (70.0 + reading.temperature_degC);
  const auto runs = followed(bench);
  if (runs.size() != 1) throw std::runtime_error("not one run was found");
  const RecordContext context = context_of(runs[0], name);
  taken(store.register_probes(
      std::vector<StoredProbe>{{"cup", ProbeRole::cup, "ohm", context.probes[0].dump()}}));
  taken(store.add(bench.readings, {}));
  const TimeUs first_us = runs[0].readings.front().time_us;
  const std::string id =
      fmt::format("019adb5c-9d2e-7c6b-8a3c-2f0d5e7b9a{}{}", name == usual_bench ? 1 : 2, number);
  Json record = make_record(runs[0], bench.roles, context, id, first_us).record;
  give_to_trial(record, sheet, sheet.trials.front(), number);
  taken(store.add_run(
      {id, 0, first_us, runs[0].readings.back().time_us, 1, "finished", record.dump()},
      {"finished", "", "bench", first_us}));
}

Result<CarryCount> carry_to(Store& store, const std::string& folder) {
  auto notebook = open_notebook({"folder", folder}, "test");
  if (!notebook) return notebook.error();
  StoreNotes notes(store);
  CarryOptions options;
  options.entry.charts = false;
  options.now_us = [] { return began_us; };
  return nestcup::carry(store, **notebook, notes, options);
}

std::string name_of(const std::string& folder) {
  return notebook_name({"folder", folder});
}

/// The store that all copies come from.
const std::string& template_store(const std::string& name) {
  static const TemporaryFolder folder;
  static std::map<std::string, std::string> paths;
  std::string& path = paths[name];
  if (path.empty()) {
    path = folder.at(name + ".db");
    Store store = taken(Store::open(path, StoreMode::write));
    const Sheet sheet = taken(parse_sheet(simulated_sheet, "day.toml"));
    taken(store.keep_sheet(stored_sheet(sheet, began_us)));
    for (int number = 1; number <= 3; ++number) add_run(store, sheet, name, number);
    taken(change_status(store, "2", "struck", {"struck", "spilt, it seemed", "edith", began_us}));
    taken(change_status(store, "2", "finished", {"restored", "not spilt", "ada", began_us + 1}));
    taken(store.checkpoint(true));
  }
  return path;
}

}  // namespace

CarriedBench::CarriedBench(const std::string& name) {
  fs::copy_file(template_store(name), store_path());
  TemporaryFolder::put(bench_file(), bench_text);
  const CarryCount count = carry();
  if (count.carried != 5 || !count.failure.empty()) throw std::runtime_error(count.failure);
}

Store CarriedBench::store(StoreMode mode) const {
  return taken(Store::open(store_path(), mode));
}

CarryCount CarriedBench::carry(const std::string& store_path) const {
  const std::string path = store_path.empty() ? this->store_path() : store_path;
  Store own = taken(Store::open(path, StoreMode::write));
  const std::vector<std::string> names{name_of(notebook())};
  taken(Outbox(own).use_notebooks(names, began_us));
  return taken(carry_to(own, notebook()));
}

std::string CarriedBench::run_folder(int number) const {
  const std::string end = fmt::format("7b9a1{}", number);
  for (const auto& entry : fs::directory_iterator(notebook())) {
    if (entry.path().filename().string().ends_with(end)) return entry.path().string();
  }
  throw std::runtime_error("no folder of run " + std::to_string(number));
}

std::string CarriedBench::head_file() const {
  for (const auto& entry : fs::directory_iterator(notebook())) {
    if (entry.path().filename().string().starts_with("chain ")) return entry.path().string();
  }
  throw std::runtime_error("no kept end of the chain");
}

void CarriedBench::sql(const std::string& statements) const {
  sqlite3* handle = nullptr;
  sqlite3_open(store_path().c_str(), &handle);
  char* message = nullptr;
  const int code = sqlite3_exec(handle, statements.c_str(), nullptr, nullptr, &message);
  const std::string text = message == nullptr ? "" : message;
  sqlite3_free(message);
  sqlite3_close(handle);
  if (code != SQLITE_OK) throw std::runtime_error(text);
}

void CarriedBench::change(const std::string& path, const std::string& from, const std::string& to) {
  std::string text = TemporaryFolder::text_of(path);
  const std::size_t at = text.find(from);
  if (at == std::string::npos) throw std::runtime_error(path + ": has no " + from);
  TemporaryFolder::put(path, text.replace(at, from.size(), to));
}

Verification CarriedBench::verify(std::vector<RunVerdict>* runs,
                                  const std::string& store_path) const {
  const Store own = store_path.empty() ? store() : taken(Store::open(store_path, StoreMode::read));
  VerifyTask task{&own, {notebook()}, {{notebook(), name_of(notebook())}}};
  if (runs != nullptr) task.take = [runs](const RunVerdict& run) { runs->push_back(run); };
  return taken(verify_all(task));
}

std::string faults_text(const Verification& found, const std::vector<RunVerdict>& runs) {
  std::string text;
  const auto tell = [&](const std::vector<CheckNote>& faults) {
    for (const CheckNote& fault : faults) text += fault.code + " " + fault.text + '\n';
  };
  for (const RunVerdict& run : runs) tell(run.faults);
  for (const PlaceChain& chain : found.chains) tell(chain.faults());
  for (const std::string& problem : found.problems) text += problem + '\n';
  return text;
}

}  // namespace nestcup::testing
