// Which trial a finished run is given to, by what the store has.
#include "daemon/bench/trial_book.hpp"

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

/// Two trials of one repeat each.
const std::optional<Sheet>& two_trials() {
  static const std::optional<Sheet> sheet = parse_sheet(R"toml([sheet]
title = "A day"
[[trial]]
name = "warm"
purpose = "calorimeter constant"
cup = { substance = "water", volume_mL = 50.0 }
added = { substance = "water", volume_mL = 50.0 }
[[trial]]
name = "cold"
purpose = "calorimeter constant"
cup = { substance = "water", volume_mL = 60.0 }
added = { substance = "water", volume_mL = 40.0 }
)toml",
                                                        "day.toml")
                                                .value();
  return sheet;
}

/// "warm 1", "warm 1 chosen", or "none".
std::string name_of(const TrialState& state) {
  if (!state.next) return "none";
  return state.sheet->trials[state.next->trial].name + " " + std::to_string(state.next->number) +
         (state.chosen ? " chosen" : "");
}

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

TEST_CASE("a chosen trial is given the next run, done or not, and then the sheet's order holds") {
  const test::Folder folder;
  Store store = Store::open(folder.path("a.db"), StoreMode::write).value();
  TrialBook book(two_trials());
  book.look(store);
  CHECK(name_of(book.state()) == "warm 1");
  REQUIRE(book.choose("cold"));
  CHECK(name_of(book.state()) == "cold 1 chosen");
  CHECK(trial_of(book.add_run(store, run(1), bare_record(two_trials()), note)).at("name") ==
        "cold");
  CHECK(name_of(book.state()) == "warm 1");
  REQUIRE(book.choose("cold"));
  CHECK(name_of(book.state()) == "cold 2 chosen");
  CHECK(trial_of(book.add_run(store, run(2), bare_record(two_trials()), note)).at("number") == 2);
  CHECK(trial_of(book.add_run(store, run(3), bare_record(two_trials()), note)).at("name") ==
        "warm");
  CHECK(name_of(book.state()) == "none");
  REQUIRE(book.choose("warm"));
  CHECK(name_of(book.state()) == "warm 2 chosen");
}

TEST_CASE("a choice is taken back by none or an empty name, and a wrong name leaves it") {
  const test::Folder folder;
  const Store store = Store::open(folder.path("a.db"), StoreMode::write).value();
  TrialBook book(two_trials());
  book.look(store);
  for (const char* nothing : {"", "none"}) {
    REQUIRE(book.choose("cold"));
    const auto wrong = book.choose("wram");
    REQUIRE_FALSE(wrong);
    CHECK(wrong.error().kind == Fault::usage);
    CHECK_THAT(wrong.error().text, ContainsSubstring("is \"warm\" meant?"));
    CHECK(name_of(book.state()) == "cold 1 chosen");
    REQUIRE(book.choose(nothing));
    CHECK(name_of(book.state()) == "warm 1");
  }
  TrialBook bare(no_sheet);
  REQUIRE_FALSE(bare.choose("warm"));
  CHECK(name_of(bare.state()) == "none");
}

TEST_CASE("another sheet holds from the next run on, and keeps a choice that it has") {
  const test::Folder folder;
  Store store = Store::open(folder.path("a.db"), StoreMode::write).value();
  TrialBook book(two_trials());
  const auto held = book.sheet();
  REQUIRE(book.choose("cold"));
  std::string text = two_trials()->text;
  text.replace(text.find("50.0"), 4, "45.5");
  book.use(parse_sheet(text, "day.toml").value(), store);
  CHECK(held->trials[0].cup->volume_mL == 50.0);
  CHECK(book.sheet()->trials[0].cup->volume_mL == 45.5);
  CHECK(name_of(book.state()) == "cold 1 chosen");
  const auto stored = book.add_run(store, run(1), bare_record(two_trials()), note);
  REQUIRE(stored);
  CHECK(Json::parse(stored->record_json).at("sheet").at("sha256") == book.sheet()->sha256);
  REQUIRE(book.choose("cold"));
  book.use(*day_sheet(), store);
  CHECK(name_of(book.state()) == "warm 1");
}
