// Runs of a store that are given to trials, and worked out anew.
#include "core/record/assign.hpp"
#include "core/record/recompute.hpp"
#include "core/record/stored_run.hpp"
#include "core/record/trial_of_run.hpp"
#include "core/sheet/sheet_file.hpp"
#include "tests/catch.hpp"
#include "tests/store/store_fixture.hpp"

using namespace nestcup;
using namespace nestcup::testing;

namespace {

/// A simulated trial with a probe in each vessel, as the daemon stored it.
Store store_at(const std::string& path) {
  write_bytes(path, bytes_of(std::string(NESTCUP_SOURCE_DIR) + "/tests/store/old/version-2.store"));
  return take(Store::open(path, StoreMode::write));
}

Sheet sheet_with(double cup_mL, const std::string& title = "A day") {
  const auto text = "[sheet]\ntitle = \"" + title +
                    "\"\n[conventions]\ndensity_g_per_mL = 1.0\nheat_capacity_J_per_g_K = 4.184\n"
                    "[[trial]]\nname = \"warm\"\npurpose = \"calorimeter constant\"\n"
                    "cup = { substance = \"water\", volume_mL = " +
                    std::to_string(cup_mL) +
                    " }\nadded = { substance = \"water\", volume_mL = 50.0 }\n"
                    "[[trial]]\nname = \"coil\"\npurpose = \"electrical calibration\"\n"
                    "cup = { substance = \"water\", volume_mL = 100.0 }\n"
                    "heater = { voltage_V = 9.6, current_A = 1.37, time_s = 100.0 }\n";
  return take(parse_sheet(text, "day.toml"));
}

const RevisionNote note{"assigned", "mended", "ada", 1'790'000'000'000'000};

Json record_of(const StoredRun& run) {
  return Json::parse(run.record_json);
}

double value(const Json& record, const char* key) {
  return record.at("temperatures").at(key).at("value").get<double>();
}

/// Final temperature less the mean of both, weighted with volumes.
double rise_by_hand_K(const Json& record, double cup_mL) {
  const double cup_degC = value(record, "cup_at_mixing_degC");
  const double added_degC = value(record, "added_at_mixing_degC");
  return value(record, "final_degC") - (cup_mL * cup_degC + 50.0 * added_degC) / (cup_mL + 50.0);
}

}  // namespace

TEST_CASE("an assigned run has trial, sheet and the rise over the mean; the earlier record stays") {
  const TemporaryFolder folder;
  Store store = store_at(folder.file("a.db"));
  const std::string before = take(store.find_run("1")).record_json;
  const Sheet sheet = sheet_with(100.0);
  const StoredRun run = take(assign_run(store, {"1", "warm", sheet}, note));
  CHECK((run.revision == 2 && run.status == "finished"));
  const Json record = record_of(run);
  CHECK(record.at("revision") == 2);
  CHECK(record.at("trial") ==
        Json{{"name", "warm"}, {"number", 1}, {"purpose", "calorimeter constant"}});
  CHECK(record.at("sheet") == Json{{"title", "A day"}, {"sha256", sheet.sha256}});
  CHECK(record.at("mixture_rise_K").at("value").get<double>() ==
        Approx(rise_by_hand_K(record, 100.0)));
  CHECK(trial_words(run) == "trial warm, repeat 1");
  const auto revisions = take(store.revisions(run.id));
  REQUIRE(revisions.size() == 2);
  CHECK(revisions[0].record_json == before);
  CHECK(revisions[1].note.action == "assigned");
  CHECK(revisions[1].note.reason == "mended");
  CHECK(take(store.find_sheet(sheet.sha256)).text == sheet.text);
}

TEST_CASE("a run goes to another trial, and to none") {
  const TemporaryFolder folder;
  Store store = store_at(folder.file("a.db"));
  take(assign_run(store, {"1", "warm", sheet_with(100.0)}, note));
  // The sheet is the record's own, which the store keeps.
  const Json coil = record_of(take(assign_run(store, {"1", "coil", std::nullopt}, note)));
  CHECK(coil.at("trial").at("name") == "coil");
  CHECK(coil.at("mixture_rise_K").is_null());
  const StoredRun none = take(assign_run(store, {"1", "none", std::nullopt}, note));
  CHECK(record_of(none).at("trial").is_null());
  CHECK(record_of(none).at("sheet").at("title") == "A day");
  CHECK(none.revision == 4);
  CHECK(take(given_runs(store, sheet_with(100.0))).empty());
}

TEST_CASE("what cannot be assigned says so and changes nothing") {
  const TemporaryFolder folder;
  Store store = store_at(folder.file("a.db"));
  const Sheet sheet = sheet_with(100.0);
  const auto refused = [&](const Assignment& assignment, Fault kind, const std::string& word) {
    const auto run = assign_run(store, assignment, note);
    REQUIRE_FALSE(run);
    CHECK(run.error().kind == kind);
    CHECK_THAT(run.error().text, ContainsSubstring(word));
  };
  refused({"7", "warm", sheet}, Fault::no_input, "\"7\"");
  refused({"1", "wram", sheet}, Fault::usage, "\"warm\" meant");
  refused({"1", "warm", std::nullopt}, Fault::usage, "--sheet");
  refused({"1", "none", sheet}, Fault::usage, "in no trial already");
  take(assign_run(store, {"1", "warm", sheet}, note));
  refused({"1", "warm", sheet_with(90.0)}, Fault::usage, "trial warm, repeat 1 already");
  CHECK(take(store.find_run("1")).revision == 2);
}

TEST_CASE("runs of another sheet do not count for this one") {
  const TemporaryFolder folder;
  Store store = store_at(folder.file("a.db"));
  take(assign_run(store, {"1", "warm", sheet_with(100.0)}, note));
  CHECK(take(given_runs(store, sheet_with(80.0))).size() == 1);
  CHECK(take(given_runs(store, sheet_with(100.0, "Another day"))).empty());
}

TEST_CASE("an export of an assigned run replays to the same record, its mixture's rise too") {
  const TemporaryFolder folder;
  Store store = store_at(folder.file("a.db"));
  take(assign_run(store, {"1", "warm", sheet_with(100.0)}, note));
  const auto made = take(recompute(store, take(store.find_run("1")), std::nullopt));
  take(store_recomputed(store, made, std::nullopt, note));
  const StoredRun run = take(store.find_run("1"));
  const auto again = take(analysed_again(store, run));
  REQUIRE(again);
  const Json replayed = again->made.record, stored = record_of(run);
  for (const char* key : {"sheet", "trial", "mixture_rise_K", "corrected_rise_K", "temperatures",
                          "findings", "readings", "probes"}) {
    INFO(key);
    CHECK(replayed.at(key) == stored.at(key));
  }
  CHECK_FALSE(replayed.at("mixture_rise_K").is_null());
}

TEST_CASE("a corrected amount makes a new revision, and the same amounts make none") {
  const TemporaryFolder folder;
  Store store = store_at(folder.file("a.db"));
  take(assign_run(store, {"1", "warm", sheet_with(100.0)}, note));
  // Whatever this program's analysis makes of the old readings stands from here on.
  take(store_recomputed(store, take(recompute(store, take(store.find_run("1")), std::nullopt)),
                        std::nullopt, note));
  const StoredRun before = take(store.find_run("1"));
  const auto same = take(recompute(store, before, sheet_with(100.0)));
  CHECK_FALSE(same.after);
  take(store_recomputed(store, same, sheet_with(100.0), note));
  CHECK(take(store.find_run("1")).revision == before.revision);

  const Sheet corrected = sheet_with(80.0);
  const auto changed = take(recompute(store, before, corrected));
  REQUIRE(changed.after);
  CHECK(changed.why == "sheet changed");
  take(store_recomputed(store, changed, corrected, {"recomputed", "", "ada", 5}));
  const StoredRun after = take(store.find_run("1"));
  CHECK(after.revision == before.revision + 1);
  const Json record = record_of(after);
  CHECK(record.at("revision") == after.revision);
  CHECK(record.at("sheet").at("sha256") == corrected.sha256);
  CHECK(record.at("corrected_rise_K") == record_of(before).at("corrected_rise_K"));
  CHECK(record.at("mixture_rise_K").at("value").get<double>() ==
        Approx(rise_by_hand_K(record, 80.0)));
  for (const char* key : {"started_at", "mixed_at", "finished_at", "trial", "id"}) {
    CHECK(record.at(key) == record_of(before).at(key));
  }
  CHECK(take(store.revisions(after.id)).back().note.reason == "sheet changed");
  CHECK(take(store.sheets()).size() == 2);
}

TEST_CASE("recomputing leaves other sheets' runs and struck ones alone") {
  const TemporaryFolder folder;
  Store store = store_at(folder.file("a.db"));
  take(assign_run(store, {"1", "warm", sheet_with(100.0)}, note));
  take(store_recomputed(store, take(recompute(store, take(store.find_run("1")), std::nullopt)),
                        std::nullopt, note));
  StoredRun run = take(store.find_run("1"));
  CHECK_FALSE(take(recompute(store, run, sheet_with(80.0, "Another day"))).after);
  run.status = "struck";
  const auto struck = take(recompute(store, run, sheet_with(80.0)));
  CHECK_FALSE(struck.after);
  CHECK(struck.why == "struck out");
}
