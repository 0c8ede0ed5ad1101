// The chain of records, and what is owed to notebooks.
#include "core/store/chain.hpp"

#include <nlohmann/json.hpp>

#include "core/base/digest.hpp"
#include "core/store/outbox.hpp"
#include "tests/catch.hpp"
#include "tests/store/store_fixture.hpp"

using namespace nestcup;
using namespace nestcup::testing;

namespace {

const std::string folder_name = "folder /somewhere";

StoredRun numbered_run(int number) {
  StoredRun run;
  run.id = "01935a3c-1111-7abc-8def-00000000000" + std::to_string(number);
  run.first_us = number * 1000;
  run.last_us = run.first_us + 500;
  run.status = "finished";
  run.record_json = R"({"rise": 1.50, "id": ")" + run.id + R"("})";
  return run;
}

const RevisionNote stored_note{"finished", "", "bench", 111};
const RevisionNote struck_note{"struck", "lid was off", "teacher", 222};

/// Three runs; the first is struck out afterwards.
Store store_of_four_links(const TemporaryFolder& folder) {
  Store store = writer_at(folder.file("a.db"));
  for (int number = 1; number <= 3; ++number) {
    take(store.add_run(numbered_run(number), stored_note));
  }
  take(store.add_revision(numbered_run(1).id, 1, "struck", R"({"rise":1.5,"struck":true})",
                          struck_note));
  return store;
}

}  // namespace

TEST_CASE("every revision becomes a link that holds the one before") {
  const TemporaryFolder folder;
  const Store store = store_of_four_links(folder);
  const Chain chain(store);
  const ChainHead head = take(chain.head());
  CHECK(head.links == 4);
  const auto links = take(chain.links(1, 4));
  REQUIRE(links.size() == 4);
  CHECK(head.last_sha256 == links[3].sha256);
  CHECK(links[3].run_id == numbered_run(1).id);
  CHECK(links[3].revision == 2);
  std::string previous;
  for (const ChainLink& link : links) {
    // What chain.hpp says a link's digest is of, written out by hand.
    const std::string said = R"({"book":")" + head.book + R"(","link":)" +
                             std::to_string(link.number) + R"(,"previous":")" + previous +
                             R"(","record":")" + link.record_sha256 + R"(","revision":)" +
                             std::to_string(link.revision) + R"(,"run":")" + link.run_id + R"("})";
    CHECK(link.sha256 == sha256_hex(said));
    previous = link.sha256;
  }
  // The record as RFC 8785 writes it: keys in order, no blanks, 1.50 as 1.5.
  const std::string canonical = R"({"id":")" + numbered_run(2).id + R"(","rise":1.5})";
  CHECK(links[1].record_sha256 == sha256_hex(canonical));
  CHECK_FALSE(take(chain.link_of(numbered_run(2).id, 2)).has_value());
}

TEST_CASE("a run that is there already makes no second link") {
  const TemporaryFolder folder;
  Store store = store_of_four_links(folder);
  take(store.add_run(numbered_run(2), stored_note));
  CHECK(take(Chain(store).head()).links == 4);
}

TEST_CASE("a record without a canonical form is not stored") {
  const TemporaryFolder folder;
  Store store = writer_at(folder.file("a.db"));
  StoredRun run = numbered_run(1);
  run.record_json = R"({"a":1,"a":2})";
  const auto added = store.add_run(run, stored_note);
  REQUIRE_FALSE(added.ok());
  CHECK(added.error().kind == Fault::bad_data);
  CHECK(take(store.runs()).empty());
}

TEST_CASE("an empty store may go on with a chain that was lost") {
  const TemporaryFolder folder;
  const Store lost = store_of_four_links(folder);
  const ChainHead head = take(Chain(lost).head());
  Store store = writer_at(folder.file("b.db"));
  take(take_over_chain(store, head.book));
  for (int number = 1; number <= 3; ++number) {
    take(store.add_run(numbered_run(number), stored_note));
  }
  take(store.add_revision(numbered_run(1).id, 1, "struck", R"({"rise":1.5,"struck":true})",
                          struck_note));
  CHECK(take(Chain(store).head()).last_sha256 == head.last_sha256);
  CHECK(take_over_chain(store, "another").error().kind == Fault::usage);
}

TEST_CASE("records of an older store become its first links") {
  const TemporaryFolder folder;
  const std::string path = folder.file("old.db");
  write_bytes(path, bytes_of(std::string(NESTCUP_SOURCE_DIR) + "/tests/store/old/version-3.store"));
  {
    const Store old = take(Store::open(path, StoreMode::read));
    CHECK(take(Chain(old).head()).book.empty());
    CHECK(take(OutboxView(old).counts()).empty());
    CHECK(take(OutboxView(old).owed(folder_name, 0, 10)).empty());
  }
  const Store store = writer_at(path);
  const auto runs = take(store.runs());
  REQUIRE(runs.size() == 3);
  const auto links = take(Chain(store).links(1, 10));
  REQUIRE(links.size() == 3);
  for (std::size_t i = 0; i < links.size(); ++i) {
    CHECK(links[i].run_id == runs[i].id);
    CHECK(links[i].record_sha256 == take(record_sha256(runs[i].record_json)));
  }
}

TEST_CASE("what is stored is owed to every notebook in use, at once") {
  const TemporaryFolder folder;
  Store store = store_of_four_links(folder);
  Outbox outbox(store);
  take(outbox.use_notebooks(std::vector<std::string>{folder_name}, 333));
  const auto backlog = take(outbox.owed(folder_name, 0, 10));
  REQUIRE(backlog.size() == 4);
  CHECK(backlog[0].since_us == 333);
  CHECK(backlog[3].run_number == 1);
  CHECK(backlog[3].revision == 2);
  take(store.add_revision(numbered_run(1).id, 2, "finished", R"({"rise":1.5})", stored_note));
  CHECK(take(outbox.owed(folder_name, 0, 10)).size() == 5);
  CHECK(take(outbox.owed(folder_name, 4, 10)).front().revision == 3);
  CHECK(take(outbox.owed(folder_name, 0, 2)).size() == 2);
}

TEST_CASE("carried, failed and blocked revisions are told apart and never lost") {
  const TemporaryFolder folder;
  Store store = store_of_four_links(folder);
  Outbox outbox(store);
  take(outbox.use_notebooks(std::vector<std::string>{folder_name}, 333));
  auto owed = take(outbox.owed(folder_name, 0, 10));
  take(outbox.carried(owed[0], 444));
  take(outbox.carried(owed[0], 555));
  take(outbox.failed(owed[0], {"too late", false, 1}));  // it has arrived: nothing to be done
  take(outbox.failed(owed[1], {"disk full", false, 9999}));
  take(outbox.failed(owed[2], {"another's folder", true, 0}));
  owed = take(outbox.owed(folder_name, 0, 10));
  REQUIRE(owed.size() == 3);
  CHECK(owed[0].attempts == 1);
  CHECK(owed[0].reason == "disk full");
  CHECK(owed[0].next_try_us == 9999);
  CHECK_FALSE(owed[0].blocked);
  CHECK(owed[1].blocked);
  const NotebookCount count = take(outbox.counts()).front();
  CHECK(count.carried == 1);
  CHECK(count.owed == 2);
  CHECK(count.blocked == 1);
  CHECK(take(outbox.last_carried(folder_name)) == 1);
  CHECK(take(outbox.has_run(folder_name, 1)));
  CHECK_FALSE(take(outbox.has_run(folder_name, 2)));
  CHECK(take(outbox.try_again(folder_name)) == 3);
  owed = take(outbox.owed(folder_name, 0, 10));
  CHECK(owed[0].next_try_us == 0);
  CHECK_FALSE(owed[1].blocked);
}

TEST_CASE("a notebook that is no longer named keeps what it is owed, and comes back to the rest") {
  const TemporaryFolder folder;
  Store store = store_of_four_links(folder);
  Outbox outbox(store);
  take(outbox.use_notebooks(std::vector<std::string>{folder_name, "folder /other"}, 333));
  take(outbox.use_notebooks(std::vector<std::string>{"folder /other"}, 444));
  StoredRun fourth = numbered_run(4);
  take(store.add_run(fourth, stored_note));
  CHECK(take(outbox.owed(folder_name, 0, 10)).size() == 4);
  CHECK(take(outbox.owed("folder /other", 0, 10)).size() == 5);
  CHECK_FALSE(take(outbox.counts()).front().in_use);
  take(outbox.use_notebooks(std::vector<std::string>{folder_name}, 555));
  const auto owed = take(outbox.owed(folder_name, 0, 10));
  REQUIRE(owed.size() == 5);
  CHECK(owed[4].since_us == 555);
}
