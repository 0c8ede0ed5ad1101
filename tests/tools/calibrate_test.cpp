// Points of a calibration and what `nestcup calibrate` refuses before it asks a daemon.
#include <cmath>
#include <sstream>
#include <vector>

#include "tests/catch.hpp"
#include "tests/tools/typed.hpp"
#include "tools/calibrate/guide.hpp"
#include "tools/calibrate/outcome.hpp"
#include "tools/calibrate/request.hpp"

using namespace nestcup;
using namespace nestcup::testing;

namespace {

Outcome calibrate(const std::string& line) {
  return typed("calibrate " + line);
}

}  // namespace

TEST_CASE("the steam point comes from the pressure, with its uncertainty") {
  const auto point = steam_point(1013.25, 1.0, std::nullopt);
  REQUIRE(point);
  CHECK_THAT(point->true_degC, WithinAbs(99.974, 1e-3));
  // Clausius and Clapeyron at 100 degC: dT/dp = R T^2 / (p M L) with L = 2256.4 J/g (steam tables,
  // from memory), 27.8 mK/hPa for an ideal vapour; the real one lies within some percent.
  const double per_hPa = 8.314463 * 373.12 * 373.12 / (1013.25 * 18.015 * 2256.4);
  CHECK_THAT(point->u_K, WithinAbs(std::hypot(per_hPa, 0.02), 2e-3));
  CHECK(steam_point(1013.25, 0.0, std::nullopt)->u_K == 0.02);
  CHECK(steam_point(1013.25, 1.0, 7.0)->u_K == 0.007);
  CHECK(steam_point(900.0, 1.0, std::nullopt)->true_degC < 97.0);
  CHECK_FALSE(steam_point(101325.0, 1.0, std::nullopt));
  CHECK_FALSE(steam_point(std::nan(""), 1.0, std::nullopt));
}

TEST_CASE("ice and references have their usual uncertainty unless another is given") {
  CHECK(ice_point(std::nullopt).u_K == 0.005);
  CHECK(ice_point(2.0).u_K == 0.002);
  CHECK(reference_point(25.0, std::nullopt)->u_K == 0.05);
  CHECK_FALSE(reference_point(500.0, std::nullopt));
}

TEST_CASE("what can hurt is said where it can") {
  CHECK_THAT(instruction(*steam_point(1009.2, 1.0, {}), "cup"), ContainsSubstring("scald"));
  CHECK_THAT(instruction(*reference_point(60.0, {}), "cup"), ContainsSubstring("scald"));
  CHECK_THAT(instruction(*reference_point(20.0, {}), "cup"), !ContainsSubstring("scald"));
  CHECK_THAT(instruction(ice_point({}), "cup"), ContainsSubstring("cup"));
}

TEST_CASE("a wrong call is refused in one line") {
  const auto refused = [](const std::string& line, const char* text) {
    const Outcome outcome = calibrate(line);
    INFO(line << ": " << outcome.err);
    CHECK(outcome.code == 64);
    CHECK_THAT(outcome.err, ContainsSubstring(text));
    CHECK(outcome.err.find('\n') == outcome.err.size() - 1);
  };
  refused("--ice", "name the probe");
  refused("cup --steam --yes", "--pressure-hPa");
  refused("cup --pressure-hPa 1000 --yes", "--steam");
  refused("cup --steam --pressure-hPa 5 --yes", "air pressure");
  refused("cup --reference-degC warm", "no number");
  refused("cup --reference-degC 900", "900");
  refused("cup --ice --u-mK 0", "--u-mK");
  refused("cup --ice --average-s 1", "--average-s");
  refused("cup --ice --offset --line", "one of them");
  refused("cup --lag --undo", "one thing at a time");
  refused("cup --ice --apply", "--compare");
  refused("cup --undo --store a.db", "--list");
  refused("cup --again three", "--again");
  refused("cup --yes", "name the points");
}

TEST_CASE("a correction in words says what it leaves open") {
  Calibration offset;
  offset.offset_K = -0.25;
  offset.u_offset_K = 0.005;
  CHECK_THAT(correction_text(offset), ContainsSubstring("reading -0.2500 K"));
  CHECK_THAT(correction_text(offset), ContainsSubstring("nothing of the scale"));
  const Calibration line{CalibrationKind::line, 40.0, 0.1, 0.002, 0.01, 3e-4, 0.0};
  CHECK_THAT(correction_text(line), ContainsSubstring("+0.002000 (reading - 40.000"));
  CHECK_THAT(correction_text(line), ContainsSubstring("rise of 10 K 3.0 mK"));
}
