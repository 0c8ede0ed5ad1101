// A store that was lost comes back from a notebook or an archive; nothing is there twice.
#include "core/notebook/import_runs.hpp"

#include <sys/wait.h>
#include <unistd.h>

#include <set>

#include "core/notebook/archive.hpp"
#include "core/record/run_record.hpp"
#include "core/record/seal.hpp"
#include "tests/catch.hpp"
#include "tests/notebook/verify/carried_bench.hpp"

using namespace nestcup;
using namespace nestcup::testing;

namespace {

namespace fs = std::filesystem;

const std::function<void(int, int)> silent = [](int, int) {};

/// Imports a place into the store of that path, which is made if absent.
Imported import_into(const std::string& path, const std::string& place,
                     const std::function<void(int, int)>& progress = silent) {
  std::vector<KeptPlace> places;
  places.push_back(taken(KeptPlace::open(place)));
  const ImportPlan plan = taken(plan_import(places, std::nullopt, silent));
  Store store = taken(Store::open(path, StoreMode::write));
  const Store look = taken(Store::open(path, StoreMode::read));
  return taken(import_runs(plan, &look, &store, progress));
}

int count_of(const Imported& imported, ImportOutcome outcome) {
  int count = 0;
  for (const ImportedRun& run : imported.runs) count += run.outcome == outcome ? 1 : 0;
  return count;
}

/// Readings of a run as a store has them: time, temperature, raw.
std::vector<std::tuple<TimeUs, double, double>> readings_in(const Store& store,
                                                            const StoredRun& run) {
  std::vector<std::tuple<TimeUs, double, double>> found;
  for (const Reading& one : taken(store.readings(run.first_us, run.last_us))) {
    found.emplace_back(one.time_us, one.temperature_degC, one.raw);
  }
  return found;
}

void check_same_run(const Store& one, const Store& other, const StoredRun& run) {
  const StoredRun same = taken(other.find_run(run.id));
  INFO("run " << run.number);
  CHECK(same.number == run.number);
  CHECK(same.first_us == run.first_us);
  CHECK(same.last_us == run.last_us);
  CHECK(same.revision == run.revision);
  CHECK(same.status == run.status);
  const auto revisions = taken(one.revisions(run.id));
  const auto others = taken(other.revisions(run.id));
  REQUIRE(revisions.size() == others.size());
  for (std::size_t i = 0; i < revisions.size(); ++i) {
    CHECK(revisions[i].record_json == others[i].record_json);
    CHECK(revisions[i].note.action == others[i].note.action);
    CHECK(revisions[i].note.reason == others[i].note.reason);
    CHECK(revisions[i].note.who == others[i].note.who);
    CHECK(revisions[i].note.wall_us == others[i].note.wall_us);
  }
  CHECK(readings_in(one, run) == readings_in(other, run));
}

void check_same(const Store& one, const Store& other) {
  const auto runs = taken(one.runs());
  REQUIRE(taken(other.runs()).size() == runs.size());
  for (const StoredRun& run : runs) check_same_run(one, other, run);
  const auto sheets = taken(one.sheets());
  const auto others = taken(other.sheets());
  REQUIRE(sheets.size() == others.size());
  for (std::size_t i = 0; i < sheets.size(); ++i) {
    CHECK(sheets[i].text == others[i].text);
    CHECK(sheets[i].title == others[i].title);
    CHECK(sheets[i].first_used_us == others[i].first_used_us);
  }
}

void check_same_chain(const Store& one, const Store& other) {
  const ChainHead head = taken(Chain(one).head());
  const ChainHead same = taken(Chain(other).head());
  CHECK(same.book == head.book);
  CHECK(same.links == head.links);
  CHECK(same.last_sha256 == head.last_sha256);
}

/// The notebook's folders as a zip archive.
std::string archive_of(const CarriedBench& bench, bool with_end) {
  std::vector<BundleFile> files;
  for (const auto& entry : fs::recursive_directory_iterator(bench.notebook())) {
    const std::string path = fs::relative(entry.path(), bench.notebook()).string();
    if (!entry.is_regular_file() || (path.starts_with("chain ") && !with_end)) continue;
    files.push_back({"all/" + path, TemporaryFolder::text_of(entry.path()), "", ""});
  }
  const std::string path = bench.at("runs.zip");
  taken(write_archive(path, files, std::nullopt));
  return path;
}

}  // namespace

TEST_CASE("a lost store comes back from its notebook") {
  const CarriedBench bench;
  const Store before = bench.store();
  const std::string path = bench.at("new.db");
  const Imported imported = import_into(path, bench.notebook());
  CHECK(count_of(imported, ImportOutcome::added) == 3);
  CHECK(imported.took_over_chain);
  const Store after = taken(Store::open(path, StoreMode::read));
  check_same(before, after);
  check_same_chain(before, after);
  // The store is well, also against what the notebook kept of the lost one.
  const Verification found = taken(verify_all({&after, {bench.notebook()}}));
  CHECK(faults_text(found, {}).empty());
  CHECK(found.well == 6);
  CHECK(found.wrong == 0);
}

TEST_CASE("a store that came back goes on with its notebook") {
  const CarriedBench bench;
  const std::string path = bench.at("new.db");
  // The second time run 2 is refused, and the store begins a chain of its own.
  const bool own_chain = GENERATE(false, true);
  if (own_chain) {
    CarriedBench::change(bench.run_folder(2) + "/run.r1.json", "\"warm\"", "\"cold\"");
  }
  CHECK(import_into(path, bench.notebook()).took_over_chain != own_chain);
  const CarryCount count = bench.carry(path);
  CHECK(count.carried == (own_chain ? 2 : 5));
  CHECK(count.failure.empty());
  CHECK(count.remarks.empty());
  // Nothing new came into being beside the three runs' folders.
  int folders = 0;
  for (const auto& entry : fs::directory_iterator(bench.notebook())) {
    folders += entry.is_directory() ? 1 : 0;
  }
  CHECK(folders == 3);
  std::vector<RunVerdict> runs;
  const Verification found = bench.verify(&runs, path);
  INFO(faults_text(found, runs));
  CHECK(found.wrong == (own_chain ? 1 : 0));
}

TEST_CASE("a lost store comes back from an archive, with or without the chain's end") {
  const CarriedBench bench;
  const Store before = bench.store();
  const std::string path = bench.at("new.db");
  CHECK(import_into(path, archive_of(bench, GENERATE(false, true))).took_over_chain);
  const Store after = taken(Store::open(path, StoreMode::read));
  check_same(before, after);
  check_same_chain(before, after);
}

TEST_CASE("a second import adds nothing") {
  const CarriedBench bench;
  const std::string path = bench.at("new.db");
  (void)import_into(path, bench.notebook());
  const auto rows = taken(taken(Store::open(path, StoreMode::read)).reading_count());
  const Imported again = import_into(path, bench.notebook());
  CHECK(count_of(again, ImportOutcome::there) == 3);
  CHECK_FALSE(again.took_over_chain);
  const Store after = taken(Store::open(path, StoreMode::read));
  CHECK(taken(after.reading_count()) == rows);
  check_same(bench.store(), after);
  check_same_chain(bench.store(), after);
}

TEST_CASE("into the store that the runs come from nothing is added") {
  const CarriedBench bench;
  const auto rows = taken(bench.store().reading_count());
  CHECK(count_of(import_into(bench.store_path(), bench.notebook()), ImportOutcome::there) == 3);
  CHECK(taken(bench.store().reading_count()) == rows);
  CHECK(bench.verify().wrong == 0);
}

TEST_CASE("an import killed behind any step goes on where it was") {
  const CarriedBench bench;
  const std::string path = bench.at("new.db");
  const int steps = GENERATE(1, 2, 3, 4);
  const pid_t child = fork();
  REQUIRE(child >= 0);
  if (child == 0) {
    int done = 0;
    (void)import_into(path, bench.notebook(), [&](int, int) {
      if (++done == steps) ::kill(::getpid(), SIGKILL);
    });
    ::_exit(1);
  }
  int status = 0;
  REQUIRE(::waitpid(child, &status, 0) == child);
  REQUIRE(WIFSIGNALED(status));
  const Imported imported = import_into(path, bench.notebook());
  CHECK(count_of(imported, ImportOutcome::refused) == 0);
  const Store after = taken(Store::open(path, StoreMode::read));
  check_same(bench.store(), after);
  check_same_chain(bench.store(), after);
}

TEST_CASE("records cut off a store come back and its chain is whole again") {
  const CarriedBench bench;
  const CarriedBench as_it_was;
  bench.sql(
      "DELETE FROM owed WHERE link = 5; DELETE FROM link WHERE number = 5;"
      "DELETE FROM run_record WHERE run = 2 AND revision = 3;"
      "UPDATE run SET revision = 2, status = 'struck' WHERE number = 2;"
      "UPDATE chain SET links = 4, last_sha256 = (SELECT sha256 FROM link WHERE number = 4);");
  CHECK(bench.verify().wrong > 0);
  const Imported imported = import_into(bench.store_path(), bench.notebook());
  CHECK(count_of(imported, ImportOutcome::continued) == 1);
  CHECK(count_of(imported, ImportOutcome::there) == 2);
  check_same(as_it_was.store(), bench.store());
  CHECK(bench.verify().wrong == 0);
}

TEST_CASE("a broken run is refused with the reason, the others are taken") {
  const CarriedBench bench;
  CarriedBench::change(bench.run_folder(2) + "/run.r1.json", "\"warm\"", "\"cold\"");
  const std::string path = bench.at("new.db");
  const Imported imported = import_into(path, bench.notebook());
  CHECK(count_of(imported, ImportOutcome::added) == 2);
  // Its links are not whole, so that the store begins a chain of its own.
  CHECK_FALSE(imported.took_over_chain);
  for (const ImportedRun& run : imported.runs) {
    CHECK((run.number_before == 2) == (run.outcome == ImportOutcome::refused));
    if (run.number_before == 2) CHECK(run.reasons.at(0).find("run.r1.json") != std::string::npos);
  }
  const Store after = taken(Store::open(path, StoreMode::read));
  const auto runs = taken(after.runs());
  REQUIRE(runs.size() == 2);
  CHECK(runs[0].number == 1);
  CHECK(runs[1].number == 3);
  CHECK(taken(verify_all({&after, {}})).wrong == 0);
}

TEST_CASE("a run that differs from the store's is told and left") {
  const CarriedBench bench;
  const std::string path = bench.at("new.db");
  (void)import_into(path, bench.notebook());
  // Another record, or the same with another history.
  const bool other_record = GENERATE(false, true);
  {
    Store store = taken(Store::open(path, StoreMode::write));
    const StoredRun run = taken(store.find_run("3"));
    const Json struck = with_status(Json::parse(run.record_json), "struck", 2);
    taken(store.add_revision(run.id, 1, "struck", struck.dump(), {"struck", "here", "ada", 5}));
    Store there = bench.store(StoreMode::write);
    Json other = with_status(Json::parse(run.record_json), "struck", 2);
    if (other_record) {
      other["sheet"] = nullptr;
      seal(other);
    }
    taken(there.add_revision(run.id, 1, "struck", other.dump(), {"struck", "there", "ada", 6}));
  }
  CHECK(bench.carry().carried == 1);
  const Imported imported = import_into(path, bench.notebook());
  CHECK(count_of(imported, ImportOutcome::there) == 2);
  CHECK(count_of(imported, ImportOutcome::refused) == 1);
  const auto revisions = taken(
      taken(Store::open(path, StoreMode::read)).revisions(taken(bench.store().find_run("3")).id));
  REQUIRE(revisions.size() == 2);
  CHECK(revisions[1].note.reason == "here");
}

TEST_CASE("a run of another bench at the same time is refused") {
  const CarriedBench bench;
  const std::string path = bench.at("new.db");
  const StoredRun run = taken(bench.store().find_run("2"));
  {
    Store store = taken(Store::open(path, StoreMode::write));
    (void)taken(store.register_probes(
        std::vector<StoredProbe>{{"thermometer", ProbeRole::cup, "degC", "{}"}}));
    taken(store.add(std::vector<Reading>{{0, run.first_us + 1, 21.0, 21.0}}, {}));
  }
  const Imported imported = import_into(path, bench.notebook());
  CHECK(count_of(imported, ImportOutcome::added) == 2);
  CHECK(count_of(imported, ImportOutcome::refused) == 1);
  CHECK(imported.runs.size() == 3);
  for (const ImportedRun& one : imported.runs) {
    if (one.outcome != ImportOutcome::refused) continue;
    CHECK(one.number_before == 2);
    CHECK(one.reasons.at(0).find("belongs to another bench") != std::string::npos);
  }
  CHECK(
      taken(taken(Store::open(path, StoreMode::read)).readings(run.first_us, run.last_us)).size() ==
      1);
}

TEST_CASE("a number that is taken gives way to the next") {
  const CarriedBench bench;
  const std::string path = bench.at("new.db");
  {
    Store store = taken(Store::open(path, StoreMode::write));
    (void)taken(store.add_run({"019adb5c-0000-7c6b-8a3c-2f0d5e7b0000", 0, 1000, 2000, 1, "finished",
                               R"({"id":"019adb5c-0000-7c6b-8a3c-2f0d5e7b0000"})"},
                              {"finished", "", "bench", 1}));
  }
  const Imported imported = import_into(path, bench.notebook());
  std::set<int> numbers;
  for (const ImportedRun& run : imported.runs) numbers.insert(run.number);
  // Run 1 came first and took 2, then 2 was taken.
  CHECK(numbers == std::set<int>{2, 3, 4});
  CHECK_FALSE(imported.took_over_chain);
}

TEST_CASE("a dry run says the same and writes nothing") {
  const CarriedBench bench;
  std::vector<KeptPlace> places;
  places.push_back(taken(KeptPlace::open(bench.notebook())));
  const ImportPlan plan = taken(plan_import(places, std::nullopt, silent));
  const Imported imported = taken(import_runs(plan, nullptr, nullptr, silent));
  CHECK(count_of(imported, ImportOutcome::added) == 3);
  const Store own = bench.store();
  CHECK(count_of(taken(import_runs(plan, &own, nullptr, silent)), ImportOutcome::there) == 3);
}
