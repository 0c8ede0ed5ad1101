// The write-ahead log: cut at any point it holds a prefix of the commits; it moves when asked.
#include <sqlite3.h>

#include "tests/catch.hpp"
#include "tests/store/faults/child.hpp"
#include "tests/store/store_fixture.hpp"

using namespace nestcup;
using namespace nestcup::testing;

namespace {

constexpr int commit_size = 7;
constexpr int commits = 20;

/// Leaves a store behind as a killed process does: the first tables in the file, commits in the
/// log.
void leave_log(const std::string& path) {
  Child child([&] {
    Store store = writer_at(path);
    take(store.checkpoint(true));
    for (int i = 0; i < commits; ++i)
      take(store.add(numbered_readings(i * commit_size, commit_size), {}));
    ::kill(getpid(), SIGKILL);
    return 0;
  });
  CHECK(child.exit_code() == -1);
}

/// Whether the store opens, is whole, and holds `readings` as a prefix of the commits.
int prefix_held(const std::string& path) {
  const Store store = writer_at(path);
  REQUIRE(take(store.integrity_problems()).empty());
  const auto readings = all_readings(store);
  const auto count = static_cast<int>(readings.size());
  REQUIRE(count % commit_size == 0);
  REQUIRE(take(store.reading_count()) == count);
  const auto expected = numbered_readings(0, count);
  for (std::size_t i = 0; i < readings.size(); ++i) {
    REQUIRE(readings[i].temperature_degC == expected[i].temperature_degC);
  }
  return count;
}

/// Holds a snapshot of the store, as a reader in the middle of a long query does.
class Snapshot {
 public:
  explicit Snapshot(const std::string& path) {
    REQUIRE(sqlite3_open_v2(path.c_str(), &handle_, SQLITE_OPEN_READONLY, nullptr) == SQLITE_OK);
    REQUIRE(sqlite3_exec(handle_, "BEGIN; SELECT count(*) FROM reading", nullptr, nullptr,
                         nullptr) == SQLITE_OK);
  }
  ~Snapshot() { sqlite3_close(handle_); }
  Snapshot(const Snapshot&) = delete;
  Snapshot& operator=(const Snapshot&) = delete;

 private:
  sqlite3* handle_ = nullptr;
};

}  // namespace

TEST_CASE("a log cut at every 512 bytes holds a prefix of the commits") {
  const TemporaryFolder folder;
  const std::string path = folder.file("a.db");
  leave_log(path);
  const std::string file = bytes_of(path);
  const std::string log = bytes_of(path + "-wal");
  REQUIRE(log.size() > 100'000);
  const std::string copy = folder.file("copy.db");
  int before = 0;
  for (std::size_t cut = 0; cut <= log.size(); cut += 512) {
    INFO("cut at " << cut);
    std::filesystem::remove(copy + "-shm");
    write_bytes(copy, file);
    write_bytes(copy + "-wal", log.substr(0, cut));
    const int held = prefix_held(copy);
    REQUIRE(held >= before);
    before = held;
  }
  std::filesystem::remove(copy + "-shm");
  write_bytes(copy, file);
  write_bytes(copy + "-wal", log);
  CHECK(prefix_held(copy) == commits * commit_size);
}

TEST_CASE("a damaged byte in the log costs the commits behind it, never the store") {
  const TemporaryFolder folder;
  const std::string path = folder.file("a.db");
  leave_log(path);
  const std::string file = bytes_of(path);
  const std::string log = bytes_of(path + "-wal");
  const std::string copy = folder.file("copy.db");
  for (std::size_t at = 32 + 2000; at < log.size(); at += 3 * (4096 + 24)) {
    INFO("damaged at " << at);
    std::string damaged = log;
    damaged[at] = static_cast<char>(damaged[at] ^ 0x40);
    std::filesystem::remove(copy + "-shm");
    write_bytes(copy, file);
    write_bytes(copy + "-wal", damaged);
    REQUIRE(prefix_held(copy) < commits * commit_size);
  }
}

TEST_CASE("a reader opens what a killed process left behind") {
  const TemporaryFolder folder;
  const std::string path = folder.file("a.db");
  leave_log(path);
  const std::string file = bytes_of(path);
  const std::string log = bytes_of(path + "-wal");
  CHECK(all_readings(take(Store::open(path, StoreMode::read))).size() == commits * commit_size);
  CHECK(bytes_of(path) == file);
  CHECK(bytes_of(path + "-wal") == log);
}

TEST_CASE("the log grows until it is moved, and a truncating move empties it") {
  const TemporaryFolder folder;
  const std::string path = folder.file("a.db");
  Store store = writer_at(path);
  for (int i = 0; i < 600; ++i) take(store.add(numbered_readings(i, 1), {}));
  CHECK(std::filesystem::file_size(path + "-wal") > 1000 * 4096);  // no move by itself
  const auto passive = take(store.checkpoint(false));
  CHECK(passive.log_pages > 1000);
  CHECK(passive.done_pages == passive.log_pages);
  const auto truncating = take(store.checkpoint(true));
  CHECK(truncating.log_pages == 0);
  CHECK(std::filesystem::file_size(path + "-wal") == 0);
  CHECK(take(store.reading_count()) == 600);
}

TEST_CASE("a reader in a long query holds a move back, and that is told") {
  const TemporaryFolder folder;
  const std::string path = folder.file("a.db");
  Store store = writer_at(path);
  take(store.add(numbered_readings(0, 10), {}));
  {
    const Snapshot snapshot(path);
    take(store.add(numbered_readings(10, 10), {}));
    const auto passive = take(store.checkpoint(false));
    CHECK(passive.done_pages < passive.log_pages);
    const auto truncating = store.checkpoint(true);
    REQUIRE_FALSE(truncating.ok());
    CHECK(truncating.error().kind == Fault::try_later);
    take(store.add(numbered_readings(20, 10), {}));
  }
  CHECK(take(store.checkpoint(true)).log_pages == 0);
  CHECK(all_readings(store).size() == 30);
}
