// Calibrations are kept, the newest holds, an older one can be taken again, older stores get them.
#include <cmath>

#include "tests/catch.hpp"
#include "tests/store/store_fixture.hpp"

using namespace nestcup;
using namespace nestcup::testing;

namespace {

using Kind = StoredCalibration::Kind;

StoredCalibration line(const std::string& probe, double offset_K) {
  StoredCalibration row;
  row.probe = probe;
  row.wall_us = 1'790'000'000'123'456;
  row.calibration = {CalibrationKind::line, 40.1, offset_K, -0.00125, 0.011, 0.0003, -1e-7};
  row.points_json = R"([{"true_degC":0.0}])";
  row.who = "ada";
  row.note = "before the course";
  return row;
}

StoredCalibration of_kind(const std::string& probe, Kind kind) {
  StoredCalibration row;
  row.probe = probe;
  row.kind = kind;
  row.who = "ada";
  return row;
}

double held_offset_K(const Store& store, const std::string& probe) {
  const auto held = take(store.held_calibration(probe));
  return held.correction ? held.correction->calibration.offset_K : std::nan("");
}

void copy_old(const std::string& to) {
  write_bytes(to, bytes_of(std::string(NESTCUP_SOURCE_DIR) + "/tests/store/old/version-1.store"));
}

}  // namespace

TEST_CASE("a calibration comes back as it was stored") {
  const TemporaryFolder folder;
  const StoredCalibration put = line("cup", 0.3125);
  {
    Store store = writer_at(folder.file("a.db"));
    CHECK(take(store.add_calibration(put)) == 1);
  }
  const Store reader = take(Store::open(folder.file("a.db"), StoreMode::read));
  const auto rows = take(reader.calibrations());
  REQUIRE(rows.size() == 1);
  const StoredCalibration& got = rows[0];
  CHECK((got.number == 1 && got.probe == "cup" && got.wall_us == put.wall_us));
  CHECK(got.kind == Kind::correction);
  CHECK(got.calibration.kind == CalibrationKind::line);
  CHECK(got.calibration.reference_degC == 40.1);
  CHECK(got.calibration.offset_K == 0.3125);
  CHECK(got.calibration.slope == -0.00125);
  CHECK(got.calibration.u_offset_K == 0.011);
  CHECK(got.calibration.u_slope == 0.0003);
  CHECK(got.calibration.covariance_K == -1e-7);
  CHECK((got.points_json == put.points_json && got.who == "ada" && got.note == put.note));
  CHECK_FALSE(got.other);
  CHECK_FALSE(got.again);
}

TEST_CASE("the newest holds, an older one can be taken again, and nothing is lost") {
  const TemporaryFolder folder;
  Store store = writer_at(folder.file("a.db"));
  CHECK(std::isnan(held_offset_K(store, "cup")));
  take(store.add_calibration(line("cup", 0.1)));
  take(store.add_calibration(line("added", 0.9)));
  take(store.add_calibration(line("cup", 0.2)));
  CHECK(held_offset_K(store, "cup") == 0.2);
  CHECK(held_offset_K(store, "added") == 0.9);
  StoredCalibration again = of_kind("cup", Kind::again);
  again.again = 1;
  CHECK(take(store.add_calibration(again)) == 4);
  CHECK(held_offset_K(store, "cup") == 0.1);
  CHECK(take(store.held_calibration("cup")).correction->number == 1);
  take(store.add_calibration(of_kind("cup", Kind::none)));
  CHECK(std::isnan(held_offset_K(store, "cup")));
  CHECK(take(store.calibrations()).size() == 5);
  CHECK(take(store.calibrations("cup")).size() == 4);
}

TEST_CASE("differences and time constants stand beside the correction") {
  const TemporaryFolder folder;
  Store store = writer_at(folder.file("a.db"));
  take(store.add_calibration(line("cup", 0.1)));
  StoredCalibration lag = of_kind("cup", Kind::time_constant);
  lag.value = {4.2, 0.1, std::nullopt};
  take(store.add_calibration(lag));
  StoredCalibration difference = of_kind("cup", Kind::difference);
  difference.value = {-0.2, 0.01, std::nullopt};
  difference.other = "added";
  take(store.add_calibration(difference));
  const auto held = take(store.held_calibration("cup"));
  REQUIRE(held.correction);
  REQUIRE(held.time_constant);
  CHECK(held.correction->calibration.offset_K == 0.1);
  CHECK(held.time_constant->value.value == 4.2);
  CHECK(held.time_constant->value.u == 0.1);
  const auto rows = take(store.calibrations("cup"));
  CHECK(rows.back().other == "added");
  CHECK(rows.back().value.value == -0.2);
}

TEST_CASE("what cannot hold is refused and leaves no row") {
  const TemporaryFolder folder;
  Store store = writer_at(folder.file("a.db"));
  take(store.add_calibration(line("added", 0.1)));
  StoredCalibration again = of_kind("cup", Kind::again);
  for (const auto older : {std::optional<int>{}, std::optional<int>{1}, std::optional<int>{7}}) {
    again.again = older;
    const auto number = store.add_calibration(again);
    REQUIRE_FALSE(number);
    CHECK(number.error().kind == Fault::no_input);
    CHECK_THAT(number.error().text, ContainsSubstring("\"cup\""));
  }
  CHECK(store.add_calibration(line("cup", std::nan(""))).error().kind == Fault::bad_data);
  StoredCalibration negative = line("cup", 0.1);
  negative.calibration.u_slope = -1.0;
  CHECK_FALSE(store.add_calibration(negative));
  CHECK(take(store.calibrations()).size() == 1);
  Store reader = take(Store::open(folder.file("a.db"), StoreMode::read));
  CHECK(reader.add_calibration(line("cup", 0.1)).error().kind == Fault::usage);
}

// tests/store/old/version-1.store was written by the program that had the first tables alone: a
// simulated trial with two probes.
TEST_CASE("a store of the first version is read as it is, and gets its calibrations when written") {
  const TemporaryFolder folder;
  const std::string path = folder.file("old.db");
  copy_old(path);
  const std::string before = bytes_of(path);
  std::size_t readings = 0;
  std::string record;
  {
    const Store reader = take(Store::open(path, StoreMode::read));
    readings = all_readings(reader).size();
    record = take(reader.find_run("1")).record_json;
    CHECK(take(reader.calibrations()).empty());
    CHECK_FALSE(take(reader.held_calibration("cup")).correction);
  }
  CHECK(bytes_of(path) == before);
  CHECK(readings > 600);
  {
    Store store = take(Store::open(path, StoreMode::write));
    CHECK(take(store.integrity_problems()).empty());
    CHECK(take(store.add_calibration(line("cup", 0.1))) == 1);
  }
  const Store again = take(Store::open(path, StoreMode::read));
  CHECK(held_offset_K(again, "cup") == 0.1);
  CHECK(all_readings(again).size() == readings);
  CHECK(take(again.find_run("1")).record_json == record);
  CHECK(take(again.probes()).size() == 2);
}
