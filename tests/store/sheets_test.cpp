// Sheets are kept as they were; older stores get the table when they are written.
#include "tests/catch.hpp"
#include "tests/store/store_fixture.hpp"

using namespace nestcup;
using namespace nestcup::testing;

namespace {

StoredSheet sheet(const std::string& begin, TimeUs first_used_us) {
  return {begin + std::string(64 - begin.size(), '0'), "A day",
          "[sheet]\ntitle = \"A day\" # \xC2\xB0\n", first_used_us};
}

void copy_old(const std::string& name, const std::string& to) {
  write_bytes(to, bytes_of(std::string(NESTCUP_SOURCE_DIR) + "/tests/store/old/" + name));
}

}  // namespace

TEST_CASE("a sheet comes back byte for byte, and its first use stays") {
  const TemporaryFolder folder;
  Store store = writer_at(folder.file("a.db"));
  take(store.keep_sheet(sheet("abcd", 20)));
  StoredSheet again = sheet("abcd", 30);
  again.text = "something else";
  take(store.keep_sheet(again));
  take(store.keep_sheet(sheet("abce", 10)));
  const auto kept = take(take(Store::open(folder.file("a.db"), StoreMode::read)).sheets());
  REQUIRE(kept.size() == 2);
  CHECK(kept[0].sha256 == sheet("abce", 0).sha256);
  CHECK(kept[1].first_used_us == 20);
  CHECK(kept[1].title == "A day");
  CHECK(kept[1].text == sheet("abcd", 0).text);
}

TEST_CASE("a sheet is found by the beginning of its digest") {
  const TemporaryFolder folder;
  Store store = writer_at(folder.file("a.db"));
  take(store.keep_sheet(sheet("abcd1", 1)));
  take(store.keep_sheet(sheet("abcd2", 2)));
  CHECK(take(store.find_sheet("ABCD2")).first_used_us == 2);
  CHECK(take(store.find_sheet(sheet("abcd1", 1).sha256)).first_used_us == 1);
  CHECK(store.find_sheet("abcd").error().kind == Fault::usage);
  CHECK(store.find_sheet("abc").error().kind == Fault::usage);
  CHECK(store.find_sheet("bcd1").error().kind == Fault::no_input);
}

TEST_CASE("a digest of another length is no digest, and a reader keeps nothing") {
  const TemporaryFolder folder;
  Store store = writer_at(folder.file("a.db"));
  StoredSheet wrong = sheet("abcd", 1);
  wrong.sha256.pop_back();
  CHECK_FALSE(store.keep_sheet(wrong));
  CHECK(take(store.sheets()).empty());
  Store reader = take(Store::open(folder.file("a.db"), StoreMode::read));
  CHECK(reader.keep_sheet(sheet("abcd", 1)).error().kind == Fault::usage);
}

// The files of tests/store/old were written by the programs that had these tables: a simulated
// trial with two probes, the second version with a calibration.
TEST_CASE("older stores are read as they are, and get their sheets when written") {
  const auto name = std::string(GENERATE("version-1.store", "version-2.store"));
  INFO(name);
  const TemporaryFolder folder;
  const std::string path = folder.file("old.db");
  copy_old(name, path);
  const std::string before = bytes_of(path);
  std::size_t readings = 0, calibrations = 0;
  std::string record;
  {
    const Store reader = take(Store::open(path, StoreMode::read));
    readings = all_readings(reader).size();
    record = take(reader.find_run("1")).record_json;
    calibrations = take(reader.calibrations()).size();
    CHECK(take(reader.sheets()).empty());
  }
  CHECK(bytes_of(path) == before);
  CHECK(readings == 636);
  CHECK(calibrations == (name == "version-2.store" ? 1 : 0));
  {
    Store store = take(Store::open(path, StoreMode::write));
    CHECK(take(store.integrity_problems()).empty());
    take(store.keep_sheet(sheet("abcd", 1)));
  }
  const Store again = take(Store::open(path, StoreMode::read));
  CHECK(take(again.sheets()).size() == 1);
  CHECK(all_readings(again).size() == readings);
  CHECK(take(again.calibrations()).size() == calibrations);
  CHECK(take(again.find_run("1")).record_json == record);
}
