// Old readings that are removed outside runs change nothing of what runs prove.
#include "core/store/retention.hpp"

#include "core/record/stored_run.hpp"
#include "core/store/backup.hpp"
#include "tests/catch.hpp"
#include "tests/notebook/verify/carried_bench.hpp"

using namespace nestcup;
using namespace nestcup::testing;

namespace {

/// Every run's readings, records and sheets as `nestcup export` writes them.
std::vector<std::string> exports(const Store& store) {
  std::vector<std::string> texts;
  for (const StoredRun& run : taken(store.runs())) texts.push_back(taken(export_text(store, run)));
  return texts;
}

std::vector<double> rises_anew(const std::vector<RunVerdict>& runs) {
  std::vector<double> rises;
  for (const RunVerdict& run : runs) rises.push_back(run.anew_rise_K.value());
  return rises;
}

/// A bench that has gone on for so long since its runs that none of their readings is a late one.
/// @return how many of its readings are of no run
std::int64_t let_time_pass(const CarriedBench& bench) {
  Store store = bench.store(StoreMode::write);
  taken(store.register_probes(taken(store.probes())));
  const TimeUs newest_us = *taken(store.last_reading_us());
  const std::vector<Reading> later{{0, newest_us + 2 * 86'400 * us_per_s, 20.0, 20.0}};
  taken(store.add(later, {}));
  // Readings of the hour before the first run, and of the one behind the last.
  std::vector<Reading> idle;
  const TimeUs first_us = taken(store.runs()).front().first_us;
  for (TimeUs s = 1; s <= 3600; ++s) {
    idle.push_back({0, first_us - s * us_per_s, 21.0, 21.0});
    idle.push_back({0, newest_us + s * us_per_s, 21.0, 21.0});
  }
  taken(store.add(idle, {}));
  std::int64_t outside = taken(store.reading_count()) - 1;
  for (const StoredRun& run : taken(store.runs())) {
    outside -= static_cast<std::int64_t>(taken(store.readings_about(run)).readings.size());
  }
  return outside;
}

std::int64_t remove_all_old(const CarriedBench& bench) {
  Store store = bench.store(StoreMode::write);
  Retention pass = taken(Retention::begin(store, *taken(store.last_reading_us())));
  std::int64_t removed = 0;
  for (auto step = taken(pass.step(store, 50)); step; step = taken(pass.step(store, 50))) {
    removed += *step;
  }
  return removed;
}

}  // namespace

TEST_CASE("what is removed outside runs changes no verdict and no export") {
  const CarriedBench bench;
  const std::int64_t outside = let_time_pass(bench);
  REQUIRE(outside > 100);
  std::vector<RunVerdict> before;
  REQUIRE(faults_text(bench.verify(&before), before).empty());
  const auto exported = exports(bench.store());
  CHECK(remove_all_old(bench) == outside);
  std::vector<RunVerdict> after;
  CHECK(faults_text(bench.verify(&after), after).empty());
  CHECK(rises_anew(after) == rises_anew(before));
  CHECK(exports(bench.store()) == exported);
}

TEST_CASE("a copy proves what its store proves") {
  const CarriedBench bench;
  const bool compact = GENERATE(false, true);
  std::vector<RunVerdict> before;
  REQUIRE(faults_text(bench.verify(&before), before).empty());
  taken(back_up({bench.store_path(), bench.at("copy.db"), compact},
                [](BackupStage, std::int64_t, std::int64_t) {}));
  std::vector<RunVerdict> after;
  CHECK(faults_text(bench.verify(&after, bench.at("copy.db")), after).empty());
  CHECK(rises_anew(after) == rises_anew(before));
  CHECK(exports(taken(Store::open(bench.at("copy.db"), StoreMode::read))) ==
        exports(bench.store()));
}
