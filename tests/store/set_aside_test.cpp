// A damaged store makes room for a new one, and nothing of it is lost.
#include "core/store/set_aside.hpp"

#include "core/store/damage.hpp"
#include "tests/catch.hpp"
#include "tests/store/store_fixture.hpp"

using namespace nestcup;
using namespace nestcup::testing;

namespace {

constexpr TimeUs wall_us = 1'795'593'600'000'000;  // 2026-11-25T08:00:00Z

/// A store of so many readings, closed.
void make_store(const std::string& path, int readings) {
  Store store = writer_at(path);
  take(store.add(numbered_readings(0, readings), {}));
}

}  // namespace

TEST_CASE("a replacement takes the store's place; file and log are there under another name") {
  const TemporaryFolder folder;
  const std::string path = folder.file("bench.db");
  write_bytes(path, "the file");
  write_bytes(path + "-wal", "its log");
  write_bytes(path + "-shm", "its index");
  make_store(replacement_path(path), 3);
  const std::string aside = take(replace_store(path, replacement_path(path), wall_us));
  CHECK(aside == path + ".damaged-20261125T080000Z");
  CHECK(bytes_of(aside) == "the file");
  CHECK(bytes_of(aside + "-wal") == "its log");
  CHECK_FALSE(std::filesystem::exists(path + "-wal"));
  CHECK(all_readings(take(Store::open(path, StoreMode::read))).size() == 3);
  CHECK(stores_set_aside(path) == std::vector<std::string>{aside});
}

TEST_CASE(
    "two in one second have names of their own; what only has such a name beside is no other") {
  const TemporaryFolder folder;
  const std::string path = folder.file("bench.db");
  for (const char* const text : {"first", "second"}) {
    write_bytes(path, text);
    make_store(replacement_path(path), 1);
    take(replace_store(path, replacement_path(path), wall_us));
  }
  write_bytes(folder.file("other.db.damaged-x"), "of another store");
  const auto aside = stores_set_aside(path);
  REQUIRE(aside.size() == 2);
  CHECK(bytes_of(aside[0]) == "first");
  CHECK(bytes_of(aside[1]) == "second");
}

TEST_CASE("cut off between its renamings, a replacement is finished by the next start") {
  const TemporaryFolder folder;
  const std::string path = folder.file("bench.db");
  make_store(replacement_path(path), 3);
  finish_replacing(path);
  CHECK(all_readings(take(Store::open(path, StoreMode::read))).size() == 3);
  // Where the store is still there, what lies beside it is not finished and does not count.
  make_store(replacement_path(path), 5);
  finish_replacing(path);
  CHECK(all_readings(take(Store::open(path, StoreMode::read))).size() == 3);
  drop_replacement(path);
  CHECK_FALSE(std::filesystem::exists(replacement_path(path)));
}

TEST_CASE("a log whose file is empty or gone is damage, and is not deleted") {
  const TemporaryFolder folder;
  const std::string path = folder.file("bench.db");
  for (const bool empty : {true, false}) {
    std::filesystem::remove(path);
    if (empty) write_bytes(path, "");
    write_bytes(path + "-wal", "commits");
    const auto store = Store::open(path, StoreMode::write);
    REQUIRE_FALSE(store.ok());
    CHECK(says_damaged(store.error()));
    CHECK(bytes_of(path + "-wal") == "commits");
  }
}

TEST_CASE("values of the header that SQLite would take for others than damage") {
  const TemporaryFolder folder;
  const std::string path = folder.file("bench.db");
  make_store(path, 10);
  const std::string whole = bytes_of(path);
  // Page size, versions of the format, fractions of a page (the format's section 1.3).
  for (const std::size_t at : {16, 17, 18, 19, 21, 22, 23}) {
    std::string bytes = whole;
    bytes[at] = static_cast<char>(bytes[at] ^ 0x24);
    write_bytes(path, bytes);
    INFO("byte " << at);
    const auto store = Store::open(path, StoreMode::write);
    REQUIRE_FALSE(store.ok());
    CHECK(says_damaged(store.error()));
  }
}
