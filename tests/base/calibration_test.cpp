// Corrections, their way back, their uncertainty; and the steam point against IAPWS-IF97.
#include "core/base/calibration.hpp"

#include <cmath>

#include "core/base/steam_point.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

Calibration some_line() {
  return {CalibrationKind::line, 40.0, -0.3, 0.004, 0.01, 3e-4, 0.0};
}

}  // namespace

TEST_CASE("a correction and its way back") {
  const Calibration line = some_line();
  CHECK_THAT(line.corrected_degC(40.0), WithinAbs(39.7, 1e-12));
  CHECK_THAT(line.corrected_degC(90.0), WithinAbs(89.9, 1e-12));
  for (const double degC : {-20.0, 0.0, 25.0, 99.0}) {
    CHECK_THAT(line.reading_of_degC(line.corrected_degC(degC)), WithinAbs(degC, 1e-12));
  }
  CHECK(Calibration{}.corrected_degC(21.37) == 21.37);
}

TEST_CASE("the uncertainty grows away from the reference, and with the covariance") {
  Calibration line = some_line();
  CHECK_THAT(line.u_at_K(40.0), WithinAbs(0.01, 1e-12));
  CHECK_THAT(line.u_at_K(90.0), WithinAbs(std::hypot(0.01, 0.015), 1e-12));
  line.covariance_K = -0.93 * 0.01 * 3e-4;
  CHECK_THAT(line.u_at_K(90.0), WithinAbs(std::sqrt(1e-4 + 2.25e-4 - 2 * 0.93 * 1.5e-4), 1e-12));
}

TEST_CASE("a common offset cancels in a difference, an error of the slope does not") {
  Calibration line = some_line();
  const double u_K = line.u_difference_K(8.0);
  CHECK_THAT(u_K, WithinAbs(8.0 / 1.004 * 3e-4, 1e-12));
  CHECK(line.u_difference_K(-8.0) == u_K);
  line.u_offset_K = 5.0;
  CHECK(line.u_difference_K(8.0) == u_K);
  CHECK(line.u_difference_K(0.0) == 0.0);
}

TEST_CASE("kinds have names, and others have none") {
  for (const CalibrationKind kind : {CalibrationKind::offset, CalibrationKind::line}) {
    CHECK(calibration_kind_named(calibration_kind_name(kind)) == kind);
  }
  CHECK_FALSE(calibration_kind_named("parabola"));
}

// IAPWS R7-97 (2012), table 36: saturation temperatures by the backward equation of region 4.
TEST_CASE("the steam point agrees with the check values of IAPWS-IF97") {
  CHECK_THAT(steam_point_degC(0.1e6).value(), WithinAbs(372.755919 - 273.15, 5e-7));
  CHECK_THAT(steam_point_degC(1e6).value(), WithinAbs(453.035632 - 273.15, 5e-7));
  CHECK_THAT(steam_point_degC(10e6).value(), WithinAbs(584.149488 - 273.15, 5e-7));
}

// 99.974 degC at 101325 Pa: the normal boiling point of water on ITS-90 (H. Preston-Thomas,
// Metrologia 27 (1990) 3-10; given from memory), to its last digit.
TEST_CASE("at the standard atmosphere water boils a little below 100 degC") {
  CHECK_THAT(steam_point_degC(101325.0).value(), WithinAbs(99.974, 1e-3));
  CHECK_FALSE(steam_point_degC(600.0));
  CHECK_FALSE(steam_point_degC(23e6));
  CHECK_FALSE(steam_point_degC(std::nan("")));
}
