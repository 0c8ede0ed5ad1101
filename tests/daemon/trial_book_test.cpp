// Which trial a finished run is given to, by what the store has.
#include "daemon/trial_book.hpp"

#include "core/sheet/sheet_file.hpp"
#include "tests/catch.hpp"
#include "tests/daemon/support.hpp"

using namespace nestcup;
using namespace nestcup::daemon;

namespace {

/// One trial of two repeats.
const std::optional<Sheet>& day_sheet() {
  static const std::optional<Sheet> sheet = parse_sheet(R"toml([sheet]
title = "A day"
[[trial]]
name = "warm"
purpose = "calorimeter constant"
repeats = 2
cup = { substance = "water", volume_mL = 50.0 }
added = { substance = "water", volume_mL = 50.0 }
)toml",
                                                        "day.toml")
                                                .value();
  return sheet;
}
const std::optional<Sheet> no_sheet;
const RevisionNote note{"finished", "", "bench", 1};

/// A record of which only what the book looks at is there.
Json bare_record(const std::optional<Sheet>& its_sheet) {
  return {{"status", "finished"},
          {"sheet", its_sheet ? Json{{"title", its_sheet->title}, {"sha256", its_sheet->sha256}}
                              : Json(nullptr)},
          {"trial", nullptr},
          {"corrected_rise_K", {{"value", 6.2}}}};
}

StoredRun run(int number) {
  return {"id-" + std::to_string(number), 0, number * 1000, number * 1000 + 500, 1, "finished", ""};
}

Json trial_of(const Result<StoredRun>& stored) {
  REQUIRE(stored);
  return Json::parse(stored->record_json).at("trial");
}

}  // namespace

TEST_CASE("finished runs are given to the open trials, then to none, and none is lost") {
  const test::Folder folder;
  Store store = Store::open(folder.path("a.db"), StoreMode::write).value();
  TrialBook book(day_sheet());
  CHECK_FALSE(book.next());
  book.look(store);
  REQUIRE(book.next());
  CHECK(book.next()->number == 1);
  CHECK(trial_of(book.add_run(store, run(1), bare_record(day_sheet()), note)).at("number") == 1);
  CHECK(book.next()->number == 2);
  CHECK(trial_of(book.add_run(store, run(2), bare_record(day_sheet()), note)).at("number") == 2);
  CHECK_FALSE(book.next());
  CHECK(trial_of(book.add_run(store, run(3), bare_record(day_sheet()), note)).is_null());
  CHECK(store.runs()->size() == 3);
  REQUIRE(store.sheets()->size() == 1);
  CHECK(store.sheets()->front().text == day_sheet()->text);
}

TEST_CASE("a run that is stored already stays as it is, and the next goes on from there") {
  const test::Folder folder;
  Store store = Store::open(folder.path("a.db"), StoreMode::write).value();
  {
    TrialBook before_crash(day_sheet());
    (void)before_crash.add_run(store, run(1), bare_record(day_sheet()), note);
  }
  TrialBook book(day_sheet());
  const auto again = book.add_run(store, run(1), bare_record(day_sheet()), note);
  CHECK(trial_of(again).at("number") == 1);
  CHECK(again->revision == 1);
  CHECK(store.runs()->size() == 1);
  CHECK(trial_of(book.add_run(store, run(2), bare_record(day_sheet()), note)).at("number") == 2);
}

TEST_CASE("a run that is unusable leaves its trial open") {
  const test::Folder folder;
  Store store = Store::open(folder.path("a.db"), StoreMode::write).value();
  TrialBook book(day_sheet());
  Json unusable = bare_record(day_sheet());
  unusable["corrected_rise_K"]["value"] = nullptr;
  CHECK(trial_of(book.add_run(store, run(1), unusable, note)).at("number") == 1);
  CHECK(trial_of(book.add_run(store, run(2), bare_record(day_sheet()), note)).at("number") == 2);
  REQUIRE(book.next());
  CHECK(book.next()->number == 3);
}

TEST_CASE("without a sheet runs belong to no trial") {
  const test::Folder folder;
  Store store = Store::open(folder.path("a.db"), StoreMode::write).value();
  TrialBook book(no_sheet);
  CHECK(trial_of(book.add_run(store, run(1), bare_record(no_sheet), note)).is_null());
  CHECK_FALSE(book.next());
  CHECK(store.sheets()->empty());
}
