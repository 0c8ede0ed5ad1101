// Which calibration of a probe holds on a bench, and what a client may ask.
#include "daemon/bench/calibrations.hpp"

#include <cmath>

#include "daemon/bench/calibration_request.hpp"
#include "tests/catch.hpp"

using namespace nestcup;
using namespace nestcup::daemon;

namespace {

using Kind = StoredCalibration::Kind;
using RequestJson = nlohmann::json;

BenchFile two_probes() {
  BenchFile file;
  file.probes.resize(2);
  file.probes[0].name = "cup";
  file.probes[0].tolerance_K = 0.3;
  file.probes[1].name = "added";
  file.probes[1].role = ProbeRole::added;
  return file;
}

StoredCalibration offset_of(const std::string& probe, double offset_K) {
  StoredCalibration row;
  row.probe = probe;
  row.calibration.offset_K = offset_K;
  row.calibration.u_offset_K = 0.01;
  return row;
}

StoredCalibration again_of(const std::string& probe, int number) {
  StoredCalibration row;
  row.probe = probe;
  row.kind = Kind::again;
  row.again = number;
  return row;
}

RequestJson difference_of(const char* probe, const char* other, bool apply) {
  return {{"probe", probe},          {"kind", "difference"}, {"other", other},
          {"reading_degC", 30.2},    {"apply", apply},       {"other_reading_degC", 30.0},
          {"u_difference_K", 0.003}, {"note", "one vessel"}};
}

}  // namespace

TEST_CASE("the newest correction holds until it is taken back") {
  const BenchFile file = two_probes();
  Calibrations calibrations(file, {});
  CHECK(calibrations.corrected_degC(0, 25.0) == 25.0);
  REQUIRE(calibrations.add(offset_of("cup", -0.5)));
  REQUIRE(calibrations.add(offset_of("cup", -0.7)));
  CHECK_THAT(calibrations.corrected_degC(0, 25.0), WithinAbs(24.3, 1e-12));
  CHECK(calibrations.corrected_degC(1, 25.0) == 25.0);
  const auto undo = undo_of(calibrations.rows(), "cup");
  REQUIRE(undo);
  CHECK(undo->again == 1);
  CHECK(calibrations.add(*undo)->number == 3);
  CHECK_THAT(calibrations.corrected_degC(0, 25.0), WithinAbs(24.5, 1e-12));
  CHECK(undo_of(calibrations.rows(), "cup")->again == 2);  // and forth again
  CHECK_FALSE(calibrations.add(again_of("added", 1)));
  CHECK_FALSE(calibrations.add(again_of("cup", 3)));
  calibrations.take_back(3);
  CHECK_THAT(calibrations.corrected_degC(0, 25.0), WithinAbs(24.3, 1e-12));
  CHECK(calibrations.held()[0].correction->number == 2);
}

TEST_CASE("taking the first calibration back leaves the probe as it is") {
  CHECK_FALSE(undo_of({}, "cup"));
  StoredCalibration first = offset_of("cup", 1.0);
  first.number = 1;
  const auto undo = undo_of({first}, "cup");
  REQUIRE(undo);
  CHECK(undo->kind == Kind::none);
  CHECK_FALSE(undo->again);
  CHECK_FALSE(undo_of({first}, "added"));
}

TEST_CASE("readings as they were shown are kept for some minutes") {
  SeenReadings seen(3);
  for (TimeUs t = 0; t < 2000; ++t) seen.take(t * us_per_s, 20.0 + static_cast<double>(t));
  CHECK(seen.after(1990 * us_per_s).size() == 9);
  CHECK(seen.after(1990 * us_per_s).front().shown_degC == 2011.0);
  CHECK(seen.after(0).front().time_us == 1999 * us_per_s - SeenReadings::kept_us);
  CHECK(seen.after(5000 * us_per_s).empty());
  SeenReadings fast(3);
  for (TimeUs t = 0; t < 40'000; ++t) fast.take(t, 1.0);
  CHECK(fast.after(-1).size() == SeenReadings::most);
}

TEST_CASE("points become a correction whose slope a single point takes from the tolerance") {
  const RequestJson one{{"probe", "cup"},
                        {"kind", "auto"},
                        {"points",
                         {{{"true_degC", 0.0},
                           {"u_true_K", 0.005},
                           {"reading_degC", 0.25},
                           {"u_reading_K", 0.001},
                           {"source", "ice"}}}}};
  const auto request = read_calibration_request(one, two_probes(), {});
  REQUIRE(request);
  REQUIRE(request->rows.size() == 1);
  const Calibration& c = request->rows[0].calibration;
  CHECK(c.kind == CalibrationKind::offset);
  CHECK_THAT(c.offset_K, WithinAbs(-0.25, 1e-12));
  CHECK_THAT(c.u_slope, WithinAbs(0.3 * std::sqrt(2.0 / 3.0) / 50.0, 1e-12));
  RequestJson unknown = one;
  unknown["probe"] = "lid";
  CHECK(read_calibration_request(unknown, two_probes(), {}).error().kind == Fault::no_input);
}

TEST_CASE("a difference is recorded, and applied to the second vessel's probe where asked") {
  const BenchFile file = two_probes();
  const auto recorded = read_calibration_request(difference_of("cup", "added", false), file, {});
  REQUIRE(recorded);
  REQUIRE(recorded->rows.size() == 1);
  CHECK_THAT(recorded->rows[0].value.value, WithinAbs(0.2, 1e-12));
  CHECK(recorded->rows[0].other == "added");
  StoredCalibration held = offset_of("cup", -0.5);
  held.number = 1;
  // The cup's probe shows 30.2 and counts as 29.7; so must the other one that shows 30.0.
  for (const bool turned : {false, true}) {
    RequestJson body = difference_of(turned ? "added" : "cup", turned ? "cup" : "added", true);
    if (turned) std::swap(body["reading_degC"], body["other_reading_degC"]);
    const auto applied = read_calibration_request(body, file, {held});
    REQUIRE(applied);
    REQUIRE(applied->rows.size() == 2);
    const StoredCalibration& row = applied->rows[1];
    INFO("turned " << turned);
    CHECK(row.probe == "added");
    CHECK(row.other == "cup");
    CHECK_THAT(row.calibration.corrected_degC(30.0), WithinAbs(29.7, 1e-12));
    CHECK_THAT(row.calibration.u_offset_K, WithinAbs(std::hypot(0.003, 0.01), 1e-12));
  }
}
