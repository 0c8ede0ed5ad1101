// Old readings go in small steps, and nothing that belongs to a run goes with them.
#include "core/store/retention.hpp"

#include "tests/catch.hpp"
#include "tests/store/store_fixture.hpp"

using namespace nestcup;
using namespace nestcup::testing;

namespace {

constexpr TimeUs day_us = 86'400 * us_per_s;
constexpr TimeUs begin_us = TimeUs{1'790'000'000'000'000};

/// A reading of both probes each minute, over so many days.
Store store_of_days(const TemporaryFolder& folder, int days) {
  Store store = writer_at(folder.file("a.db"));
  std::vector<Reading> readings;
  for (TimeUs at_us = begin_us; at_us < begin_us + days * day_us; at_us += 60 * us_per_s) {
    for (const std::uint16_t probe : {0, 1}) readings.push_back({probe, at_us, 21.5, 70.7});
  }
  take(store.add(readings, {}));
  return store;
}

void add_run(Store& store, int number, TimeUs first_us, TimeUs last_us) {
  StoredRun run;
  run.id = "01935a3c-1111-7abc-8def-00000000000" + std::to_string(number);
  run.first_us = first_us;
  run.last_us = last_us;
  run.status = "finished";
  run.record_json = R"({"id":")" + run.id + R"("})";
  take(store.add_run(run, {"finished", "", "bench", 111}));
}

/// A whole pass. @return readings removed, and those of the largest step
std::pair<std::int64_t, std::int64_t> pass(Store& store, TimeUs before_us, std::int64_t most) {
  Retention retention = take(Retention::begin(store, before_us));
  std::int64_t removed = 0;
  std::int64_t largest = 0;
  for (auto step = take(retention.step(store, most)); step;
       step = take(retention.step(store, most))) {
    removed += *step;
    largest = std::max(largest, *step);
  }
  return {removed, largest};
}

std::int64_t count_in(const Store& store, TimeUs from_us, TimeUs to_us) {
  return static_cast<std::int64_t>(take(store.readings(from_us, to_us)).size());
}

}  // namespace

TEST_CASE("readings before a moment go, and the total stays right") {
  const TemporaryFolder folder;
  Store store = store_of_days(folder, 4);
  const std::int64_t before = take(store.reading_count());
  REQUIRE(before == 4 * 1440 * 2);
  const auto [removed, largest] = pass(store, begin_us + 2 * day_us, 100);
  CHECK(removed == 2 * 1440 * 2);
  CHECK(largest <= 101);  // all readings of one moment go together
  CHECK(take(store.reading_count()) == before - removed);
  CHECK(static_cast<std::int64_t>(all_readings(store).size()) == before - removed);
  CHECK(all_readings(store).front().time_us == begin_us + 2 * day_us);
  CHECK(take(store.integrity_problems()).empty());
  CHECK(pass(store, begin_us + 2 * day_us, 100).first == 0);
}

TEST_CASE("every reading from a run's first moment to its last stays") {
  const TemporaryFolder folder;
  Store store = store_of_days(folder, 3);
  const TimeUs minute_us = 60 * us_per_s;
  const TimeUs first_us = begin_us + 5 * minute_us, last_us = begin_us + 15 * minute_us;
  add_run(store, 1, first_us, last_us);
  // Runs of one moment, one behind the other, one that overlaps, and one across the limit.
  add_run(store, 2, begin_us + 20 * minute_us, begin_us + 20 * minute_us);
  add_run(store, 3, begin_us + 21 * minute_us, begin_us + 30 * minute_us);
  add_run(store, 4, begin_us + 25 * minute_us, begin_us + 28 * minute_us);
  const TimeUs limit_us = begin_us + day_us;
  add_run(store, 5, limit_us - 3 * minute_us, limit_us + 3 * minute_us);
  const int most = GENERATE(1, 2, 7, 1000);
  const auto removed = pass(store, limit_us, most).first;
  CHECK(count_in(store, first_us, last_us) == 11 * 2);
  CHECK(count_in(store, begin_us, begin_us + 19 * minute_us) == 11 * 2);
  CHECK(count_in(store, begin_us + 20 * minute_us, begin_us + 30 * minute_us) == 11 * 2);
  CHECK(count_in(store, begin_us, limit_us - 4 * minute_us) == 22 * 2);
  CHECK(count_in(store, limit_us - 3 * minute_us, limit_us) == 4 * 2);
  CHECK(removed == (1440 - 22 - 3) * 2);
  CHECK(take(store.reading_count()) == static_cast<std::int64_t>(all_readings(store).size()));
}

TEST_CASE("the last hours stay, however little is to be kept") {
  const TemporaryFolder folder;
  Store store = store_of_days(folder, 1);
  const TimeUs newest_us = *take(store.last_reading_us());
  pass(store, begin_us + 300 * day_us, 5000);
  CHECK(all_readings(store).front().time_us == newest_us - Retention::always_kept_us);
  CHECK(take(store.last_reading_us()) == newest_us);
}

TEST_CASE("a store without readings has nothing to give") {
  const TemporaryFolder folder;
  Store store = writer_at(folder.file("a.db"));
  CHECK(pass(store, begin_us, 100).first == 0);
}

TEST_CASE("events, sheets, calibrations and probes outlive the readings about them") {
  const TemporaryFolder folder;
  Store store = store_of_days(folder, 2);
  take(store.add({}, std::vector<StoredEvent>{{begin_us + 5, "mark", "{}"}}));
  take(store.keep_sheet({std::string(64, 'a'), "a title", "a text", 7}));
  pass(store, begin_us + day_us, 1000);
  CHECK(take(store.events(begin_us, begin_us + day_us)).size() == 1);
  CHECK(take(store.sheets()).size() == 1);
  CHECK(take(store.probes()).size() == 2);
}

TEST_CASE("a new store gives room back, in small steps and not to the last page") {
  const TemporaryFolder folder;
  Store store = store_of_days(folder, 60);
  take(store.checkpoint(true));
  const auto full_bytes = std::filesystem::file_size(store.path());
  pass(store, begin_us + 58 * day_us, 2000);
  const FilePages freed = take(Retention::pages(store));
  REQUIRE(freed.can_be_given_back);
  REQUIRE(freed.free > freed.all / 2);
  std::int64_t given = 0;
  for (auto step = take(Retention::give_back(store, 50)); step > 0;
       step = take(Retention::give_back(store, 50))) {
    CHECK(step <= 50);
    given += step;
  }
  const FilePages left = take(Retention::pages(store));
  CHECK(left.all <= freed.all - given);  // pages of the map that tells of them go, too
  CHECK(left.all > freed.all - given - 5);
  CHECK(left.free > 0);  // filled again without the file growing
  take(store.checkpoint(true));
  CHECK(std::filesystem::file_size(store.path()) < full_bytes / 2);
  CHECK(take(store.integrity_problems()).empty());
  CHECK(take(store.reading_count()) == static_cast<std::int64_t>(all_readings(store).size()));
}

TEST_CASE("a store of an older program fills its free pages again, and gives none back") {
  const TemporaryFolder folder;
  const std::string path = folder.file("old.db");
  std::filesystem::copy_file(std::string(NESTCUP_SOURCE_DIR) + "/tests/store/old/version-1.store",
                             path);
  Store store = take(Store::open(path, StoreMode::write));
  take(store.register_probes(two_probes()));
  take(store.add(numbered_readings(0, 40'000), {}));
  const std::vector<Reading> late{{0, begin_us + 2 * day_us, 20.0, 20.0}};
  take(store.add(late, {}));
  REQUIRE(pass(store, begin_us + day_us, 2000).first >= 40'000);
  const FilePages pages = take(Retention::pages(store));
  CHECK_FALSE(pages.can_be_given_back);
  CHECK(pages.free > 200);
  CHECK(take(Retention::give_back(store, 50)) == 0);
  take(store.add(numbered_readings(0, 40'000), {}));
  CHECK(take(Retention::pages(store)).all <= pages.all + 1);
}
