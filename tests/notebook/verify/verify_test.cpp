// What was changed, dropped, taken away or cut off in a store or a notebook shows.
#include "core/notebook/verify.hpp"

#include <algorithm>

#include "core/record/run_record.hpp"
#include "core/record/seal.hpp"
#include "tests/catch.hpp"
#include "tests/notebook/verify/carried_bench.hpp"

using namespace nestcup;
using namespace nestcup::testing;

namespace {

bool contains(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

/// What a verification says of a bench that was tampered with.
std::string found_in(const CarriedBench& bench) {
  std::vector<RunVerdict> runs;
  const Verification found = bench.verify(&runs);
  const std::string text = faults_text(found, runs);
  CHECK((found.wrong > 0) == !text.empty());
  return text;
}

/// A digit of the first reading of the given line of readings.csv becomes another.
void change_reading(const std::string& path, std::size_t line) {
  std::string text = TemporaryFolder::text_of(path);
  std::size_t at = 0;
  for (std::size_t i = 0; i < line; ++i) at = text.find('\n', at) + 1;
  char& digit = text.at(text.find('.', text.find(',', at)) + 1);
  digit = digit == '9' ? '8' : static_cast<char>(digit + 1);
  TemporaryFolder::put(path, text);
}

/// The last link, its record and its run's row as they were before it.
constexpr const char* cut_last_revision =
    "DELETE FROM owed WHERE link = 5; DELETE FROM link WHERE number = 5;"
    "DELETE FROM run_record WHERE run = 2 AND revision = 3;"
    "UPDATE run SET revision = 2, status = 'struck' WHERE number = 2;"
    "UPDATE chain SET links = 4, last_sha256 = (SELECT sha256 FROM link WHERE number = 4);";

}  // namespace

TEST_CASE("a bench as it was made belongs together") {
  const CarriedBench bench;
  std::vector<RunVerdict> runs;
  const Verification found = bench.verify(&runs);
  CHECK(faults_text(found, runs).empty());
  CHECK(found.well == 6);
  REQUIRE(runs.size() == 6);
  REQUIRE(found.chains.size() == 2);
  CHECK(found.chains[1].links() == 5);
  for (const RunVerdict& run : runs) {
    INFO(run.where);
    CHECK(run.bench == "bench-4");
    CHECK(run.revision == (run.number == 2 ? 3 : 1));
    REQUIRE(run.recorded_rise_K);
    CHECK(*run.recorded_rise_K == Approx(4.0 + run.number).margin(0.1));
    REQUIRE(run.anew_rise_K);
    // On one machine, in the store and in the file alike: to the last digits.
    CHECK(*run.anew_rise_K == Approx(*run.recorded_rise_K).margin(1e-9));
  }
}

TEST_CASE("one digit of a reading in the store shows") {
  const CarriedBench bench;
  bench.sql(
      "UPDATE reading SET temperature_degC = temperature_degC + 0.01 WHERE time_us = "
      "(SELECT first_us FROM run WHERE number = 2)");
  const std::string found = found_in(bench);
  CHECK(contains(found, "readings-digest " + bench.store_path() + ": run 2, table reading"));
  CHECK_FALSE(contains(found, "run 1,"));
}

TEST_CASE("a raw quantity that was changed shows, though the temperature is the same") {
  const CarriedBench bench;
  bench.sql(
      "UPDATE reading SET raw = raw + 0.001 WHERE time_us = "
      "(SELECT last_us FROM run WHERE number = 3)");
  CHECK(contains(found_in(bench), "readings-digest " + bench.store_path() + ": run 3"));
}

TEST_CASE("a reading dropped from the store shows") {
  const CarriedBench bench;
  bench.sql(
      "DELETE FROM reading WHERE time_us = (SELECT max(time_us) FROM reading WHERE time_us < "
      "(SELECT last_us FROM run WHERE number = 1))");
  CHECK(contains(found_in(bench), "readings-digest " + bench.store_path() + ": run 1"));
}

TEST_CASE("one digit of a reading in a file shows") {
  const CarriedBench bench;
  const std::size_t line = GENERATE(2, 60, 200);
  const std::string path = bench.run_folder(1) + "/readings.csv";
  change_reading(path, line);
  const std::string found = found_in(bench);
  CHECK(contains(found, "readings-digest " + path));
  CHECK(contains(found, "file-digest " + path));
}

TEST_CASE("a reading dropped from a file shows") {
  const CarriedBench bench;
  const std::string path = bench.run_folder(3) + "/readings.csv";
  std::string text = TemporaryFolder::text_of(path);
  const std::size_t last = text.rfind('\n', text.size() - 2);
  TemporaryFolder::put(path, text.substr(0, last + 1));
  const std::string found = found_in(bench);
  CHECK(contains(found, "readings-digest " + path));
  CHECK(contains(found, "span " + path));
}

TEST_CASE("a record edited in the store shows") {
  const CarriedBench bench;
  bench.sql(
      "UPDATE run_record SET record_json = replace(record_json, '\"warm\"', '\"cold\"') "
      "WHERE run = 3");
  const std::string found = found_in(bench);
  CHECK(contains(found,
                 "record-digest " + bench.store_path() + ": run 3, table run_record, revision 1"));
  CHECK(contains(found, "content-digest"));
}

TEST_CASE("a record that was edited and sealed again shows by its link and its readings") {
  const CarriedBench bench;
  Store store = bench.store();
  Json record = Json::parse(taken(store.find_run("1")).record_json);
  record["corrected_rise_K"]["value"] = record["corrected_rise_K"]["value"].get<double>() + 0.5;
  seal(record);
  std::string quoted = record.dump();
  for (std::size_t at = 0; (at = quoted.find('\'', at)) != quoted.npos; at += 2) {
    quoted.insert(at, "'");
  }
  bench.sql("UPDATE run_record SET record_json = '" + quoted + "' WHERE run = 1");
  const std::string found = found_in(bench);
  CHECK(contains(found, "record-digest"));
  CHECK_FALSE(contains(found, "content-digest"));
  CHECK(contains(found, "rise " + bench.store_path() + ": run 1"));
}

TEST_CASE("a record edited in a file shows") {
  const CarriedBench bench;
  const std::string path = bench.run_folder(2) + "/run.r1.json";
  CarriedBench::change(path, "\"warm\"", "\"cold\"");
  CHECK(contains(found_in(bench), "record-digest " + path));
}

TEST_CASE("a sheet edited in a file shows") {
  const CarriedBench bench;
  const std::string path = bench.run_folder(1) + "/sheet.toml";
  CarriedBench::change(path, "49.5", "59.5");
  CHECK(contains(found_in(bench), "file-digest " + path));
}

TEST_CASE("a link changed in a proof shows") {
  const CarriedBench bench;
  const std::string path = bench.run_folder(1) + "/proof.json";
  CarriedBench::change(path, "\"link_sha256\": \"", "\"link_sha256\": \"0");
  CHECK(contains(found_in(bench), "link-digest " + bench.run_folder(1)));
}

TEST_CASE("a run taken out of the store shows") {
  const CarriedBench bench;
  bench.sql(
      "DELETE FROM owed WHERE link = 3; DELETE FROM link WHERE number = 3;"
      "DELETE FROM run_record WHERE run = 3; DELETE FROM run WHERE number = 3");
  CHECK(contains(found_in(bench),
                 "link-gap " + bench.store_path() + ": the chain of records has no link 3;"));
}

TEST_CASE("a record taken out of the store without its link shows") {
  const CarriedBench bench;
  bench.sql("PRAGMA foreign_keys = OFF; DELETE FROM run_record WHERE run = 1");
  CHECK(contains(found_in(bench), "link 1 is of run"));
}

TEST_CASE("a link taken out of the store shows") {
  const CarriedBench bench;
  bench.sql("DELETE FROM owed WHERE link = 4; DELETE FROM link WHERE number = 4");
  const std::string found = found_in(bench);
  CHECK(contains(found, "link-missing " + bench.store_path() + ": run 2"));
  CHECK(contains(found, "link-gap"));
}

TEST_CASE("the chain's row taken out of the store shows") {
  const CarriedBench bench;
  bench.sql("DELETE FROM chain");
  CHECK(contains(found_in(bench), "table chain: its row is not there"));
}

TEST_CASE("the end cut off the store shows against the notebook") {
  const CarriedBench bench;
  bench.sql(cut_last_revision);
  const std::string found = found_in(bench);
  CHECK(contains(found, "store-cut " + bench.head_file()));
  // In itself the store is well: only someone else can know.
  const Store store = bench.store();
  const Verification alone = taken(verify_all({&store, {}}));
  CHECK(alone.wrong == 0);
  CHECK(alone.well == 3);
}

TEST_CASE("an end of the store that was made up shows against the notebook") {
  const CarriedBench bench;
  bench.sql(std::string(cut_last_revision) +
            "UPDATE link SET sha256 = record_sha256 WHERE number = 4;"
            "UPDATE chain SET last_sha256 = (SELECT sha256 FROM link WHERE number = 4)");
  const std::string found = found_in(bench);
  CHECK(contains(found, "link-digest " + bench.store_path() + ": run 2: link 4"));
  CHECK(contains(found, "chains-differ"));
}

TEST_CASE("a run's folder taken away shows") {
  const CarriedBench bench;
  const std::string head = bench.head_file();
  const std::string folder = bench.run_folder(1);
  std::filesystem::remove_all(folder);
  CHECK(contains(found_in(bench), "has no link 1 any more"));
  // Also without the store.
  const Verification alone = taken(verify_all({nullptr, {bench.notebook()}}));
  REQUIRE(alone.wrong == 1);
  CHECK(contains(faults_text(alone, {}),
                 "link-gap " + bench.notebook() + ": the chain of records has no link 1;"));
}

TEST_CASE("the last folder taken away and the kept end set back show against the store") {
  const CarriedBench bench;
  // Runs 2 and 3 are links 2 to 5: what is left is a chain of one link, well in itself.
  std::filesystem::remove_all(bench.run_folder(2));
  std::filesystem::remove_all(bench.run_folder(3));
  const Store store = bench.store();
  const auto first = taken(Chain(store).links(1, 1));
  const ChainHead head = taken(Chain(store).head());
  TemporaryFolder::put(bench.head_file(), head_text({"bench-4", {head.book, 1, first[0].sha256}}));
  const Verification alone = taken(verify_all({nullptr, {bench.notebook()}}));
  CHECK(alone.wrong == 0);
  CHECK(contains(found_in(bench), "has no links 2 to 5 any more"));
}

TEST_CASE("a notebook that is gone shows") {
  const CarriedBench bench;
  std::filesystem::remove_all(bench.notebook());
  CHECK(contains(found_in(bench), bench.notebook() + ": no such folder"));
}

TEST_CASE("a kept end that was edited shows") {
  const CarriedBench bench;
  CarriedBench::change(bench.head_file(), "\"last_sha256\": \"", "\"last_sha256\": \"f0");
  const std::string found = found_in(bench);
  CHECK(contains(found, "chain-end " + bench.head_file()));
  CHECK(contains(found, "ends-differ"));
}

TEST_CASE("a kept end beyond all bounds is told as any other") {
  const CarriedBench bench;
  CarriedBench::change(bench.head_file(), "\"links\": 5", "\"links\": 2147483647");
  CHECK(contains(found_in(bench), "store-cut " + bench.head_file()));
  const Verification alone = taken(verify_all({nullptr, {bench.notebook()}}));
  CHECK(contains(faults_text(alone, {}), "has no links 6 to 2147483647;"));
}

TEST_CASE("a page that people wrote into is noted and no fault") {
  const CarriedBench bench;
  const std::string path = bench.run_folder(1) + "/page.md";
  TemporaryFolder::put(path, TemporaryFolder::text_of(path) + "\nThe lid was loose.\n");
  std::vector<RunVerdict> runs;
  const Verification found = bench.verify(&runs);
  CHECK(found.wrong == 0);
  const auto run = std::find_if(runs.begin(), runs.end(), [&](const RunVerdict& one) {
    return one.where == bench.run_folder(1);
  });
  REQUIRE(run != runs.end());
  REQUIRE(run->notes.size() == 1);
  CHECK(contains(run->notes[0].text, path));
}

TEST_CASE("what lies beside a file that people edited is read") {
  const CarriedBench bench;
  const std::string folder = bench.run_folder(1);
  CarriedBench::change(folder + "/run.json", "\"warm\"", "\"cold\"");
  CarriedBench::change(folder + "/proof.json", "\"who\": \"bench\"", "\"who\": \"nobody\"");
  {
    Store store = bench.store(StoreMode::write);
    const StoredRun run = taken(store.find_run("1"));
    const Json struck = with_status(Json::parse(run.record_json), "struck", 2);
    taken(store.add_revision(run.id, 1, "struck", struck.dump(), {"struck", "x", "ada", 5}));
  }
  CHECK(bench.carry().carried == 1);
  CHECK(std::filesystem::exists(folder + "/run.r2.json"));
  std::vector<RunVerdict> runs;
  const Verification found = bench.verify(&runs);
  CHECK(faults_text(found, runs).empty());
  CHECK(found.chains.at(1).links() == 6);
}

TEST_CASE("a folder that is no run is passed over, and one that cannot be read is told") {
  const CarriedBench bench;
  std::filesystem::create_directories(bench.notebook() + "/photographs");
  TemporaryFolder::put(bench.notebook() + "/photographs/cup.txt", "a cup");
  TemporaryFolder::put(bench.run_folder(3) + "/proof.json", "{");
  std::vector<RunVerdict> runs;
  const Verification found = bench.verify(&runs);
  CHECK(runs.size() == 5);
  CHECK(contains(faults_text(found, runs), bench.run_folder(3) + "/proof.json: is no proof"));
  CHECK_FALSE(contains(faults_text(found, runs), "photographs"));
}

TEST_CASE("a proof cannot lead out of its folder") {
  const CarriedBench bench;
  const std::string folder = bench.run_folder(1);
  CarriedBench::change(folder + "/proof.json", "\"readings.csv\"", "\"../../bench.db\"");
  const KeptPlace place = taken(KeptPlace::open(folder));
  REQUIRE(place.entries().size() == 1);
  const auto run = place.read(place.entries()[0]);
  REQUIRE_FALSE(run);
  CHECK(run.error().kind == Fault::bad_data);
  CHECK(contains(run.error().text, "../../bench.db"));
}

TEST_CASE("a rise of another analysis is said and no fault") {
  const CarriedBench bench;
  const Store store = bench.store();
  const auto links = taken(Chain(store).links(1, 5));
  CheckedRun run = taken(
      run_of_store(store, taken(store.find_run("1")), taken(Chain(store).head()).book, links));
  Json record = Json::parse(*run.revisions[0].record_json);
  record["software"]["analysis"] = analysis_version - 1;
  record["corrected_rise_K"]["value"] = 4.0;
  seal(record);
  run.revisions[0].record_json = record.dump();
  ChainLink& link = *run.revisions[0].link;
  link.record_sha256 = taken(record_sha256(record.dump()));
  link.sha256 = link_sha256(run.book, link, "");
  const RunVerdict verdict = verify_run(run);
  CHECK(verdict.well());
  REQUIRE(verdict.notes.size() == 1);
  CHECK(verdict.notes[0].code == "other-analysis");
  CHECK(*verdict.recorded_rise_K == 4.0);
  CHECK(*verdict.anew_rise_K == Approx(5.0).margin(0.1));
}
