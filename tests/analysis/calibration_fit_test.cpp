// Calibrations from points: the worked example of the GUM, closed forms, and wrong points.
#include "core/analysis/calibration/calibration_fit.hpp"

#include <cmath>

#include "tests/catch.hpp"

using namespace nestcup;

namespace {

/// JCGM 100:2008, H.3.1, table H.6: readings of a thermometer and observed corrections (given from
/// memory).
std::vector<CalibrationPoint> gum_points() {
  const double readings_degC[] = {21.521, 22.012, 22.512, 23.003, 23.507, 23.999,
                                  24.513, 25.002, 25.503, 26.010, 26.511};
  const double corrections_K[] = {-0.171, -0.169, -0.166, -0.159, -0.164, -0.165,
                                  -0.156, -0.157, -0.159, -0.161, -0.160};
  std::vector<CalibrationPoint> points;
  for (std::size_t i = 0; i < std::size(readings_degC); ++i) {
    points.push_back({readings_degC[i] + corrections_K[i], 0.0, readings_degC[i], 0.0, ""});
  }
  return points;
}

CalibrationPoint point(double true_degC, double reading_degC, double u_true_K = 0.01,
                       double u_reading_K = 0.002, const char* source = "reference") {
  return {true_degC, u_true_K, reading_degC, u_reading_K, source};
}

}  // namespace

// JCGM 100:2008, H.3.3 and H.3.5: with the reference temperature in the middle of the readings,
// t0 = 24.0085 degC: y1' = -0.1625 C with s = 0.0011 C, y2 = 0.00218 with s = 0.00067, r = 0, and
// s = 0.0035 C about the line; moved to t0 = 20 degC: y1 = -0.1712 C with s = 0.0029 C, r = -0.930;
// H.3.4: at 30 degC the correction is -0.1494 C with u = 0.0041 C. All from memory.
TEST_CASE("the calibration line of the GUM's example H.3") {
  const auto points = gum_points();
  const auto fit = fit_calibration(points, CalibrationKind::line);
  REQUIRE(fit);
  const Calibration& line = fit->calibration;
  CHECK_THAT(line.reference_degC, WithinAbs(24.0085, 5e-4));
  CHECK_THAT(line.offset_K, WithinAbs(-0.1625, 5e-5));
  CHECK_THAT(line.u_offset_K, WithinAbs(0.0011, 5e-5));
  CHECK_THAT(line.slope, WithinAbs(0.00218, 5e-6));
  CHECK_THAT(line.u_slope, WithinAbs(0.00067, 5e-6));
  CHECK(line.covariance_K == 0.0);
  CHECK_THAT(fit->surplus, WithinAbs(0.0035, 5e-5));
  const double at_20 = line.corrected_degC(20.0) - 20.0, u_20 = line.u_at_K(20.0);
  CHECK_THAT(at_20, WithinAbs(-0.1712, 5e-5));
  CHECK_THAT(u_20, WithinAbs(0.0029, 5e-5));
  const double r = (20.0 - line.reference_degC) * line.u_slope / u_20;
  CHECK_THAT(r, WithinAbs(-0.930, 5e-4));
  CHECK_THAT(line.corrected_degC(30.0) - 30.0, WithinAbs(-0.1494, 5e-5));
  CHECK_THAT(line.u_at_K(30.0), WithinAbs(0.0041, 5e-5));
  // The fourth and the eleventh observation lie off by +0.0056 and -0.0030 C (table H.6).
  CHECK_THAT(fit->residuals_K[3], WithinAbs(0.0056, 1e-4));
  CHECK_THAT(fit->residuals_K[10], WithinAbs(-0.0030, 1e-4));
}

TEST_CASE("one point gives an offset with the point's uncertainty") {
  const std::vector<CalibrationPoint> one{point(0.0, 0.31, 0.005, 0.002, "ice")};
  const auto fit = fit_calibration(one, CalibrationKind::offset, 1e-3);
  REQUIRE(fit);
  CHECK_THAT(fit->calibration.offset_K, WithinAbs(-0.31, 1e-12));
  CHECK_THAT(fit->calibration.u_offset_K, WithinAbs(std::hypot(0.005, 0.002), 1e-12));
  CHECK(fit->calibration.slope == 0.0);
  CHECK(fit->calibration.u_slope == 1e-3);
  CHECK(fit->residuals_K == std::vector<double>{0.0});
}

TEST_CASE("two points give the line through them, with their uncertainties carried on") {
  const std::vector<CalibrationPoint> two{point(0.0, 0.3, 0.005, 0.0, "ice"),
                                          point(99.6, 99.5, 0.03, 0.0, "steam")};
  CHECK(usual_kind(two) == CalibrationKind::line);
  const auto fit = fit_calibration(two, CalibrationKind::line);
  REQUIRE(fit);
  CHECK_THAT(fit->calibration.corrected_degC(0.3), WithinAbs(0.0, 1e-9));
  CHECK_THAT(fit->calibration.corrected_degC(99.5), WithinAbs(99.6, 1e-9));
  CHECK_THAT(fit->calibration.u_at_K(0.3), WithinAbs(0.005, 1e-9));
  CHECK_THAT(fit->calibration.u_at_K(99.5), WithinAbs(0.03, 1e-9));
  // By hand: u of the slope is the root of both variances over the span.
  CHECK_THAT(fit->calibration.u_slope, WithinAbs(std::hypot(0.005, 0.03) / 99.2, 1e-9));
}

TEST_CASE("what one reference thermometer is off by does not shrink with the number of points") {
  std::vector<CalibrationPoint> points;
  for (int i = 0; i < 16; ++i) points.push_back(point(20.0 + i, 20.1 + i, 0.02, 0.004));
  const auto shared = fit_calibration(points, CalibrationKind::line);
  REQUIRE(shared);
  CHECK_THAT(shared->calibration.u_offset_K, WithinAbs(std::hypot(0.02, 0.004 / 4.0), 1e-9));
  for (std::size_t i = 0; i < points.size(); ++i) points[i].source = std::to_string(i);
  const auto apart = fit_calibration(points, CalibrationKind::line);
  REQUIRE(apart);
  CHECK_THAT(apart->calibration.u_offset_K, WithinAbs(std::hypot(0.02, 0.004) / 4.0, 1e-9));
  CHECK(apart->calibration.u_slope == shared->calibration.u_slope);
}

TEST_CASE("points that scatter by more than their uncertainty make it grow") {
  std::vector<CalibrationPoint> points;
  for (int i = 0; i < 10; ++i) {
    points.push_back(point(20.0 + 5 * i, 20.0 + 5 * i + (i % 2 == 0 ? 0.05 : -0.05), 0.005, 0.0,
                           std::to_string(i).c_str()));
  }
  const auto fit = fit_calibration(points, CalibrationKind::offset);
  REQUIRE(fit);
  CHECK_THAT(fit->surplus, WithinAbs(0.05 / 0.005 * std::sqrt(10.0 / 9.0), 1e-6));
  CHECK_THAT(fit->calibration.u_offset_K, WithinAbs(0.05 / 3.0, 1e-6));
  CHECK_THAT(fit->rms_K, WithinAbs(0.05, 1e-9));
}

TEST_CASE("an offset taken over points that show a slope counts the slope as an error") {
  const std::vector<CalibrationPoint> points{point(10.0, 10.1), point(60.0, 60.2)};
  const auto fit = fit_calibration(points, CalibrationKind::offset, 1.0);
  REQUIRE(fit);
  CHECK(fit->calibration.slope == 0.0);
  CHECK(fit->calibration.u_slope >= 0.1 / 50.1);
  CHECK(fit->calibration.u_slope < 2.0 * 0.1 / 50.1);
}

TEST_CASE("wrong points are refused with what to do") {
  const auto refused = [](std::vector<CalibrationPoint> points, CalibrationKind kind, Fault fault,
                          const char* text) {
    const auto fit = fit_calibration(points, kind);
    REQUIRE_FALSE(fit);
    CHECK(fit.error().kind == fault);
    CHECK_THAT(fit.error().text, ContainsSubstring(text));
  };
  const auto line = CalibrationKind::line, offset = CalibrationKind::offset;
  refused({}, offset, Fault::usage, "one point");
  refused({point(0, 0.1)}, line, Fault::usage, "two points");
  refused({point(20, 20.1), point(21, 21.1)}, line, Fault::usage, "span");
  refused({point(25, 61.0)}, offset, Fault::bad_data, "right vessel");
  refused({point(20, 20.1), point(30, 38.1)}, line, Fault::bad_data, "slope");
  refused({point(20, 20.1, 0.0, 0.0)}, offset, Fault::usage, "uncertainty");
  refused({point(20, 20.1, 0.0, 0.0), point(40, 40.0)}, line, Fault::usage, "uncertainty");
}
