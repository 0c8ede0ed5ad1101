// How the daemon comes to its store: whole, damaged, another's.
#include "daemon/store/bench_store.hpp"

#include <fstream>
#include <iterator>

#include "core/store/set_aside.hpp"
#include "daemon/store/delivery.hpp"
#include "tests/catch.hpp"
#include "tests/daemon/support.hpp"

using namespace nestcup;
using namespace nestcup::daemon;
using namespace nestcup::test;

namespace {

BenchFile bench_in(const Folder& folder) {
  BenchFile file;
  file.store = folder.path("bench.db");
  file.probes.resize(1);
  file.probes[0].name = "cup";
  return file;
}

StoredSession session_at(TimeUs axis_us) {
  return {"boot", axis_us, axis_us, axis_us, 1.0, std::nullopt};
}

void hear_no_log(std::string_view) {}

std::string bytes_in(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
}

void put_bytes(const std::string& path, const std::string& bytes) {
  std::ofstream(path, std::ios::binary | std::ios::trunc) << bytes;
}

constexpr int many_readings = 20'000;
constexpr TimeUs first_us = 1'790'000'000'000'000;

Reading nth_reading(int number) {
  return {0, first_us + number * us_per_s, 20.0, 20.0};
}

/// A store with a calibration, many readings, and results that are hidden.
void fill_store(const BenchFile& file) {
  BenchStore place(file, hear_no_log);
  REQUIRE(place.open());
  REQUIRE(place.begin_session(session_at(first_us)));
  auto store = place.take();
  REQUIRE(store);
  StoredCalibration row;
  row.probe = "cup";
  row.calibration.offset_K = -0.5;
  REQUIRE(store->add_calibration(row));
  std::vector<Reading> readings;
  for (int i = 0; i < many_readings; ++i) readings.push_back(nth_reading(i));
  const std::vector<StoredEvent> events{{first_us, "results-hidden", R"({"hidden":true})"}};
  REQUIRE(store->add(readings, events));
  REQUIRE(store->checkpoint(true));
}

}  // namespace

TEST_CASE("a store that is whole is opened again with what it knows") {
  const Folder folder;
  const BenchFile file = bench_in(folder);
  fill_store(file);
  BenchStore place(file, hear_no_log);
  const auto past = place.open();
  REQUIRE(past);
  CHECK(past->last_us == nth_reading(many_readings - 1).time_us);
  CHECK(past->calibrations.size() == 1);
  CHECK(past->results_hidden);
  CHECK(past->readings.size() == 55 * 60 + 1);
  CHECK(place.take()->reading_count().value() == many_readings);
  CHECK(stores_set_aside(file.store).empty());
}

TEST_CASE("a damaged store is set aside, and the new one knows what could still be read") {
  const Folder folder;
  const BenchFile file = bench_in(folder);
  fill_store(file);
  std::string bytes = bytes_in(file.store);
  // The end of the file has the newest readings, its beginning all the rest.
  bytes.replace(bytes.size() - 8192, 8192, std::string(8192, '\xA5'));
  put_bytes(file.store, bytes);
  std::vector<std::string> told;
  BenchStore place(file, [&](std::string_view text) { told.emplace_back(text); });
  const auto past = place.open();
  REQUIRE(past);
  CHECK(past->calibrations.size() == 1);
  CHECK(past->results_hidden);
  REQUIRE(place.begin_session(session_at(first_us + 1)));
  const auto aside = stores_set_aside(file.store);
  REQUIRE(aside.size() == 1);
  CHECK(bytes_in(aside[0]) == bytes);
  auto store = place.take();
  REQUIRE(store);
  CHECK(store->integrity_problems().value().empty());
  CHECK(store->calibrations().value().size() == 1);
  CHECK(store->last_event("store-damaged").value());
  CHECK(store->last_session().value()->axis_us == first_us + 1);
  CHECK(store->add(std::vector<Reading>{nth_reading(many_readings)}, {}));
  REQUIRE(told.size() == 2);
  CHECK(told[1].find(aside[0]) != std::string::npos);
}

TEST_CASE("a store that is damaged later is set aside with what the bench holds by then") {
  const Folder folder;
  const BenchFile file = bench_in(folder);
  BenchStore place(file, hear_no_log);
  REQUIRE(place.open());
  REQUIRE(place.begin_session(session_at(first_us)));
  auto store = place.take();
  StoredCalibration row;
  row.number = 1;
  row.probe = "cup";
  row.calibration.offset_K = 0.25;
  place.ask([&] { return BenchStore::Held{{row}, true}; });
  store.reset();
  auto fresh = place.open_again("a page is no page");
  REQUIRE(fresh);
  CHECK(fresh->calibrations().value().size() == 1);
  CHECK(fresh->last_session().value()->axis_us == first_us);
  CHECK(fresh->add(std::vector<Reading>{nth_reading(0)}, {}));
  // A disk on which each new store is damaged at once is not filled with them.
  CHECK_FALSE(place.open_again("and again"));
  CHECK(stores_set_aside(file.store).size() == 1);
}

TEST_CASE(
    "a file that is no store is refused where no bench has written, and set aside where one has") {
  const Folder folder;
  const BenchFile file = bench_in(folder);
  put_bytes(file.store, "time_s,cup_degC\n0.0,21.5\n");
  {
    BenchStore place(file, hear_no_log);
    const auto past = place.open();
    REQUIRE_FALSE(past);
    CHECK(past.error().kind == Fault::bad_data);
  }
  CHECK(bytes_in(file.store) == "time_s,cup_degC\n0.0,21.5\n");
  CHECK_FALSE(std::filesystem::exists(file.store + ".lock"));
  put_bytes(file.store + ".lock", "1 nestcupd\n");
  BenchStore place(file, hear_no_log);
  REQUIRE(place.open());
  const auto aside = stores_set_aside(file.store);
  REQUIRE(aside.size() == 1);
  CHECK(bytes_in(aside[0]) == "time_s,cup_degC\n0.0,21.5\n");
}
