// What opens as a store, what is refused, and what is left as it was.
#include <sqlite3.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <functional>

#include "core/store/damage.hpp"
#include "tests/catch.hpp"
#include "tests/store/store_fixture.hpp"

using namespace nestcup;
using namespace nestcup::testing;

namespace {

void run_sql(const std::string& path, const char* sql) {
  sqlite3* handle = nullptr;
  REQUIRE(sqlite3_open(path.c_str(), &handle) == SQLITE_OK);
  CHECK(sqlite3_exec(handle, sql, nullptr, nullptr, nullptr) == SQLITE_OK);
  sqlite3_close(handle);
}

std::string answer_of(const std::string& path, const char* sql) {
  sqlite3* handle = nullptr;
  REQUIRE(sqlite3_open_v2(path.c_str(), &handle, SQLITE_OPEN_READONLY, nullptr) == SQLITE_OK);
  sqlite3_stmt* statement = nullptr;
  REQUIRE(sqlite3_prepare_v2(handle, sql, -1, &statement, nullptr) == SQLITE_OK);
  REQUIRE(sqlite3_step(statement) == SQLITE_ROW);
  const std::string text = reinterpret_cast<const char*>(sqlite3_column_text(statement, 0));
  sqlite3_finalize(statement);
  sqlite3_close(handle);
  return text;
}

/// Both modes refuse the file, say why, and leave its bytes alone.
void check_refused(const std::string& path, bool damaged, const std::string& reason) {
  const std::string before = bytes_of(path);
  for (const StoreMode mode : {StoreMode::write, StoreMode::read}) {
    const auto store = Store::open(path, mode);
    REQUIRE_FALSE(store.ok());
    CHECK(store.error().kind == Fault::bad_data);
    CHECK(says_damaged(store.error()) == damaged);
    CHECK_THAT(store.error().text, ContainsSubstring(path));
    CHECK_THAT(store.error().text, ContainsSubstring(reason));
  }
  CHECK(bytes_of(path) == before);
  CHECK(bytes_of(path + "-wal").empty());
}

/// Runs `work` in a child without the rights of root. @return what `work` returned
int as_ordinary_user(const std::function<int()>& work) {
  const pid_t child = fork();
  if (child == 0) {
    constexpr uid_t nobody = 65534;
    if (geteuid() == 0 && setuid(nobody) != 0) _exit(100);
    _exit(work());
  }
  int status = 0;
  waitpid(child, &status, 0);
  return WIFEXITED(status) ? WEXITSTATUS(status) : 101;
}

int kind_of_opening(const std::string& path, StoreMode mode) {
  const auto store = Store::open(path, mode);
  return store.ok() ? 50 : static_cast<int>(store.error().kind);
}

}  // namespace

TEST_CASE("a new store carries its mark, its version, and keeps a write-ahead log") {
  const TemporaryFolder folder;
  const std::string path = folder.file("a.db");
  const Store store = writer_at(path);
  CHECK(answer_of(path, "PRAGMA application_id") == std::to_string(0x6E637570));
  CHECK(answer_of(path, "PRAGMA user_version") == "4");
  CHECK(answer_of(path, "PRAGMA journal_mode") == "wal");
  CHECK(take(store.integrity_problems()).empty());
  CHECK(store.path() == path);
}

TEST_CASE("a store opens again, for writing and for reading, with what it had") {
  const TemporaryFolder folder;
  const std::string path = folder.file("a strange?name#100%.db");
  { take(writer_at(path).add(numbered_readings(0, 100), {})); }
  CHECK(all_readings(take(Store::open(path, StoreMode::read))).size() == 100);
  Store again = writer_at(path);
  CHECK(take(again.reading_count()) == 100);
  take(again.add(numbered_readings(100, 1), {}));
  CHECK(take(again.reading_count()) == 101);
}

TEST_CASE("a reader changes nothing") {
  const TemporaryFolder folder;
  const std::string path = folder.file("a.db");
  { take(writer_at(path).add(numbered_readings(0, 10), {})); }
  const std::string before = bytes_of(path);
  {
    Store reader = take(Store::open(path, StoreMode::read));
    CHECK(take(reader.probes()).size() == 2);
    for (const Fault kind :
         {reader.add({}, std::vector<StoredEvent>{{1, "mark", ""}}).error().kind,
          reader.add_session({}).error().kind, reader.register_probes({}).error().kind,
          reader.checkpoint(true).error().kind, reader.add_run({}, {}).error().kind}) {
      CHECK(kind == Fault::usage);
    }
  }
  CHECK(bytes_of(path) == before);
}

TEST_CASE("a file that is not there, and a folder that is not there") {
  const TemporaryFolder folder;
  const auto missing = Store::open(folder.file("none.db"), StoreMode::read);
  REQUIRE_FALSE(missing.ok());
  CHECK(missing.error().kind == Fault::no_input);
  CHECK_FALSE(std::filesystem::exists(folder.file("none.db")));
  const auto no_folder = Store::open(folder.file("none/a.db"), StoreMode::write);
  REQUIRE_FALSE(no_folder.ok());
  CHECK(no_folder.error().kind == Fault::cannot_create);
  CHECK(Store::open(folder.path(), StoreMode::write).error().kind == Fault::bad_data);
}

TEST_CASE("a store of a newer version is refused") {
  const TemporaryFolder folder;
  const std::string path = folder.file("a.db");
  { const Store store = writer_at(path); }
  run_sql(path, "PRAGMA user_version = 5");
  check_refused(path, false, "newer version");
}

TEST_CASE("databases of other programs, other files and empty ones are refused") {
  const TemporaryFolder folder;
  run_sql(folder.file("other.db"), "CREATE TABLE t (x); INSERT INTO t VALUES (1)");
  check_refused(folder.file("other.db"), true, "another program");
  run_sql(folder.file("marked.db"), "PRAGMA application_id = 7; CREATE TABLE t (x)");
  check_refused(folder.file("marked.db"), true, "another program");
  write_bytes(folder.file("trace.csv"), "time_s,cup_degC\n0.0,21.5\n");
  check_refused(folder.file("trace.csv"), true, "is no store");
  write_bytes(folder.file("empty.db"), "");
  const auto empty = Store::open(folder.file("empty.db"), StoreMode::read);
  REQUIRE_FALSE(empty.ok());
  CHECK(empty.error().kind == Fault::bad_data);
}

TEST_CASE("a store with a damaged beginning is refused and left as it is") {
  const TemporaryFolder folder;
  const std::string path = folder.file("a.db");
  { take(writer_at(path).add(numbered_readings(0, 1000), {})); }
  std::string bytes = bytes_of(path);
  bytes.replace(0, 100, std::string(100, '\xA5'));
  write_bytes(path, bytes);
  check_refused(path, true, "its beginning is damaged");
}

TEST_CASE("damage inside a store is found") {
  const TemporaryFolder folder;
  const std::string path = folder.file("a.db");
  { take(writer_at(path).add(numbered_readings(0, 5000), {})); }
  CHECK(take(take(Store::open(path, StoreMode::read)).integrity_problems()).empty());
  std::string bytes = bytes_of(path);
  bytes.replace(bytes.size() - 4096, 2048, std::string(2048, '\xA5'));
  write_bytes(path, bytes);
  const auto store = Store::open(path, StoreMode::read);
  const bool told = !store.ok() || !store->integrity_problems().ok() ||
                    !take(store->integrity_problems()).empty();
  CHECK(told);
}

TEST_CASE("a folder without the right to write") {
  const TemporaryFolder folder;
  const std::string path = folder.file("a.db");
  { take(writer_at(path).add(numbered_readings(0, 10), {})); }
  REQUIRE(chmod(path.c_str(), 0444) == 0);
  REQUIRE(chmod(folder.path().c_str(), 0555) == 0);
  CHECK(as_ordinary_user([&] { return kind_of_opening(path, StoreMode::write); }) ==
        static_cast<int>(Fault::not_permitted));
  CHECK(as_ordinary_user([&] { return kind_of_opening(folder.file("b.db"), StoreMode::write); }) ==
        static_cast<int>(Fault::not_permitted));
  CHECK(as_ordinary_user([&] {
          const auto store = Store::open(path, StoreMode::read);
          return store.ok() ? static_cast<int>(all_readings(*store).size()) : 99;
        }) == 10);
  REQUIRE(chmod(path.c_str(), 0000) == 0);
  CHECK(as_ordinary_user([&] { return kind_of_opening(path, StoreMode::read); }) ==
        static_cast<int>(Fault::not_permitted));
  REQUIRE(chmod(folder.path().c_str(), 0755) == 0);
}
