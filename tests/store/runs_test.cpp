#include "core/store/run_counts.hpp"
#include "tests/catch.hpp"
#include "tests/store/store_fixture.hpp"

using namespace nestcup;
using namespace nestcup::testing;

namespace {

const std::string first_id = "01935a3c-1111-7abc-8def-0000000012ab";
const std::string second_id = "01935a3c-2222-7abc-8def-0000000034cd";
const std::string third_id = "01935a3c-3333-7abc-8def-0000000912ab";

StoredRun run_with(const std::string& id, TimeUs first_us) {
  StoredRun run;
  run.id = id;
  run.first_us = first_us;
  run.last_us = first_us + 500;
  run.status = "finished";
  run.record_json = R"({"id":")" + id + R"("})";
  return run;
}

const RevisionNote finished_note{"finished", "", "bench", 111};

Store store_with_runs(const TemporaryFolder& folder) {
  Store store = writer_at(folder.file("a.db"));
  CHECK(take(store.add_run(run_with(first_id, 1000), finished_note)) == 1);
  CHECK(take(store.add_run(run_with(second_id, 2000), finished_note)) == 2);
  CHECK(take(store.add_run(run_with(third_id, 3000), finished_note)) == 3);
  return store;
}

}  // namespace

TEST_CASE("runs are numbered and come back whole") {
  const TemporaryFolder folder;
  const Store store = store_with_runs(folder);
  const auto runs = take(store.runs());
  REQUIRE(runs.size() == 3);
  CHECK(runs[1].number == 2);
  CHECK(runs[1].id == second_id);
  CHECK(runs[1].first_us == 2000);
  CHECK(runs[1].last_us == 2500);
  CHECK(runs[1].revision == 1);
  CHECK(runs[1].status == "finished");
  CHECK(runs[1].record_json == R"({"id":")" + second_id + R"("})");
  const auto last = take(store.last_run_span());
  REQUIRE(last);
  CHECK(last->first_us == 3000);
  CHECK(last->last_us == 3500);
}

TEST_CASE("the newest run's foreperiod is told from what follows another run") {
  const TemporaryFolder folder;
  Store store = store_with_runs(folder);
  CHECK(take(store.last_run_span())->behind_another);
  take(store.register_probes(two_probes()));
  // The second run ends at 2500 us, the third begins at 3000 us.
  take(store.add(
      std::vector<Reading>{{0, 2500, 20.0, 20.0}, {1, 2700, 40.0, 40.0}, {0, 3000, 20.0, 20.0}},
      {}));
  CHECK(take(store.last_run_span())->behind_another);
  take(store.add(std::vector<Reading>{{0, 2800, 20.0, 20.0}}, {}));
  CHECK_FALSE(take(store.last_run_span())->behind_another);
}

TEST_CASE("a run that is there already is left as it is") {
  const TemporaryFolder folder;
  Store store = store_with_runs(folder);
  StoredRun again = run_with(second_id, 9000);
  again.record_json = "{}";
  CHECK(take(store.add_run(again, finished_note)) == 2);
  CHECK(take(store.add_run(run_with("01935a3c-4444-7abc-8def-000000000000", 3000),
                           finished_note)) == 3);
  CHECK(take(store.runs()).size() == 3);
  CHECK(take(store.find_run("2")).first_us == 2000);
  CHECK(take(store.revisions(second_id)).size() == 1);
}

TEST_CASE("striking out and restoring add revisions; none is lost") {
  const TemporaryFolder folder;
  Store store = store_with_runs(folder);
  take(store.add_revision(first_id, 1, "struck", R"({"r":2})", {"struck", "spilt", "kim", 222}));
  take(store.add_revision(first_id, 2, "finished", R"({"r":3})", {"restored", "no", "lee", 333}));
  const StoredRun run = take(store.find_run(first_id));
  CHECK(run.revision == 3);
  CHECK(run.status == "finished");
  CHECK(run.record_json == R"({"r":3})");
  const auto revisions = take(store.revisions(first_id));
  REQUIRE(revisions.size() == 3);
  CHECK(revisions[0].note.action == "finished");
  CHECK(revisions[1].revision == 2);
  CHECK(revisions[1].note.action == "struck");
  CHECK(revisions[1].note.reason == "spilt");
  CHECK(revisions[1].note.who == "kim");
  CHECK(revisions[1].note.wall_us == 222);
  CHECK(revisions[1].record_json == R"({"r":2})");
  CHECK(take(store.revisions(second_id)).size() == 1);
}

TEST_CASE("a revision on top of another than the newest is refused") {
  const TemporaryFolder folder;
  Store store = store_with_runs(folder);
  take(store.add_revision(first_id, 1, "struck", "{}", finished_note));
  const auto late = store.add_revision(first_id, 1, "finished", "{}", finished_note);
  REQUIRE_FALSE(late.ok());
  CHECK(late.error().kind == Fault::try_later);
  CHECK_THAT(late.error().text, ContainsSubstring("revision 2 now, not 1"));
  const auto unknown = store.add_revision("nobody", 1, "struck", "{}", finished_note);
  REQUIRE_FALSE(unknown.ok());
  CHECK(unknown.error().kind == Fault::no_input);
  CHECK_FALSE(store.add_revision(first_id, 2, "gone", "{}", finished_note).ok());
  CHECK(take(store.find_run("1")).revision == 2);
  CHECK(take(store.revisions(first_id)).size() == 2);
}

TEST_CASE("runs are counted by their status") {
  const TemporaryFolder folder;
  Store store = store_with_runs(folder);
  CHECK(take(run_counts(store.path())).finished == 3);
  CHECK(take(run_counts(store.path())).struck == 0);
  REQUIRE(store.add_revision(second_id, 1, "struck", "{}", {"struck", "spilt", "me", 1}));
  CHECK(take(run_counts(store.path())).finished == 2);
  CHECK(take(run_counts(store.path())).struck == 1);
}

TEST_CASE("a run is found by number, id, and the end of its id") {
  const TemporaryFolder folder;
  const Store store = store_with_runs(folder);
  CHECK(take(store.find_run("3")).id == third_id);
  CHECK(take(store.find_run(second_id)).number == 2);
  CHECK(take(store.find_run("34cd")).number == 2);
  CHECK(take(store.find_run("34CD")).number == 2);
  CHECK(take(store.find_run("0912ab")).number == 3);
  CHECK(take(store.find_run("0000000012ab")).number == 1);
}

TEST_CASE("an ambiguous end of an id names the runs") {
  const TemporaryFolder folder;
  const Store store = store_with_runs(folder);
  const auto found = store.find_run("12ab");
  REQUIRE_FALSE(found.ok());
  CHECK(found.error().kind == Fault::usage);
  CHECK_THAT(found.error().text, ContainsSubstring("(1, 3)"));
}

TEST_CASE("a run that is not there, and the nearest that is") {
  const TemporaryFolder folder;
  const Store store = store_with_runs(folder);
  const auto close = store.find_run("34cf");
  REQUIRE_FALSE(close.ok());
  CHECK(close.error().kind == Fault::no_input);
  CHECK_THAT(close.error().text, ContainsSubstring("did you mean 34cd?"));
  for (const char* which : {"4", "0", "-1", "cd", "", "warm", "99999999999999999999"}) {
    INFO(which);
    const auto found = store.find_run(which);
    REQUIRE_FALSE(found.ok());
    CHECK(found.error().kind == Fault::no_input);
  }
  const TemporaryFolder other;
  const auto none = writer_at(other.file("b.db")).find_run("1");
  REQUIRE_FALSE(none.ok());
  CHECK_THAT(none.error().text, ContainsSubstring("no runs yet"));
}
