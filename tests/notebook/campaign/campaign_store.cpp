// campaign_store make STORE RUNS KINDS [BENCH [NAME SEED]]: a new store of simulated runs, those of
// BENCH (a number, 0 for any) with other ids than other benches'; NAME is that of the bench in its
// records, and another SEED gives other figures.
// campaign_store finish FROM RUN STORE: puts run number RUN of the store FROM into STORE as the
// daemon does when a run has ended: its readings, then the record, given to the sheet's next trial.
// Where the disk fails it tries once more, as the recorder does. Prints "stored NUMBER".
#include <fmt/format.h>

#include <cstdlib>
#include <functional>
#include <optional>
#include <string>

#include "core/base/exit_code.hpp"
#include "core/sheet/sheet_file.hpp"
#include "daemon/bench/trial_book.hpp"
#include "tests/record/simulated_store.hpp"

using namespace nestcup;

namespace {

template <class T>
Result<T> twice(const std::function<Result<T>()>& work) {
  Result<T> outcome = work();
  return outcome || outcome.error().kind != Fault::io ? outcome : work();
}

Result<StoredRun> finish(const std::string& from, const std::string& which, const std::string& to) {
  const auto source = Store::open(from, StoreMode::read);
  if (!source) return source.error();
  const auto run = source->find_run(which);
  if (!run) return run.error();
  const auto first = source->revisions(run->id);
  const auto sheets = source->sheets();
  const auto probes = source->probes();
  const auto readings = source->readings(run->first_us, run->last_us);
  if (!first || !sheets || !probes || !readings) return Error{Fault::bad_data, from};
  const std::optional<Sheet> sheet = parse_sheet(sheets->front().text, "day.toml").value();
  const auto lock = StoreLock::take(to, "nestcupd");
  if (!lock) return lock.error();
  auto store = Store::open(to, StoreMode::write);
  if (!store) return store.error();
  if (auto known = store->register_probes(*probes); !known) return known.error();
  auto added = twice<void>([&] { return store->add(*readings, {}); });
  if (!added) return added.error();
  daemon::TrialBook trials(sheet);
  trials.look(*store);
  const StoredRevision& revision = first->front();
  return twice<StoredRun>([&] {
    return trials.add_run(*store, *run, Json::parse(revision.record_json), revision.note);
  });
}

}  // namespace

int main(int count, char** words) {
  const std::string what = count == 5 || count == 6 || count == 8 ? words[1] : "";
  if (what == "make") {
    SimulatedStore wanted;
    if (count > 5) wanted.bench = std::atoi(words[5]);
    if (count > 6) wanted.name = words[6];
    if (count > 7) wanted.first_seed = std::atoi(words[7]);
    wanted.runs = std::atoi(words[3]);
    wanted.kinds = std::atoi(words[4]);
    wanted.login = "";
    make_simulated_store(words[2], wanted);
    return 0;
  }
  if (what != "finish" || count != 5) return exit_code(Fault::usage);
  const auto stored = finish(words[2], words[3], words[4]);
  if (!stored) {
    fmt::print(stderr, "campaign_store: {}\n", stored.error().text);
    return exit_code(stored.error().kind);
  }
  fmt::print("stored {}\n", stored->number);
  return 0;
}
