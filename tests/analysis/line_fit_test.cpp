// The line fit against certified values.
#include "core/analysis/readings/line_fit.hpp"

#include <cmath>

#include "tests/catch.hpp"
#include "tests/reference/reference_table.hpp"

using namespace nestcup;

TEST_CASE("a line through the Norris data agrees with the certified values to nine digits") {
  Curve curve;
  for (const auto& row : reference_table("nist_norris.csv")) curve.push_back({row[0], row[1]});
  REQUIRE(curve.size() == 36);
  const LineFit fit = fit_line(curve);
  CHECK_THAT(fit.slope_K_per_s, WithinRel(1.00211681802045, 1e-9));
  CHECK_THAT(fit.at(0.0), WithinRel(-0.262323073774029, 1e-9));
  CHECK_THAT(fit.u_slope_K_per_s, WithinRel(0.429796848199937e-3, 1e-9));
  CHECK_THAT(fit.u_at(0.0), WithinRel(0.232818234301152, 1e-9));
  CHECK_THAT(fit.sd_K, WithinRel(0.884796396144373, 1e-9));
  CHECK(fit.count == 36);
}

namespace {

/// Points and their mirror images in the origin: the line through both has no intercept, the slope
/// of the line through the origin and the points, twice its sum of squares on 2 n - 2 degrees of
/// freedom, so its residual standard deviation; the slope's is smaller by the root of 2, since the
/// images count as points.
LineFit through_origin(const std::string& table) {
  Curve curve;
  for (const auto& row : reference_table(table)) {
    curve.push_back({row[0], row[1]});
    curve.push_back({-row[0], -row[1]});
  }
  return fit_line(curve);
}

}  // namespace

TEST_CASE("lines through the origin agree with the certified values of NoInt1 and NoInt2") {
  const LineFit one = through_origin("nist_noint1.csv");
  CHECK_THAT(one.slope_K_per_s, WithinRel(2.07438016528926, 1e-13));
  CHECK_THAT(one.u_slope_K_per_s * std::sqrt(2.0), WithinRel(0.165289256198347e-01, 1e-13));
  CHECK_THAT(one.sd_K, WithinRel(3.56753034006338, 1e-13));
  CHECK_THAT(one.at(0.0), WithinAbs(0.0, 1e-12));
  const LineFit two = through_origin("nist_noint2.csv");
  CHECK_THAT(two.slope_K_per_s, WithinRel(0.727272727272727, 1e-13));
  CHECK_THAT(two.u_slope_K_per_s * std::sqrt(2.0), WithinRel(0.420827318078432e-01, 1e-13));
  CHECK_THAT(two.sd_K, WithinRel(0.369274472937998, 1e-13));
}

TEST_CASE("a line far from the origin keeps its digits") {
  Curve near, far;
  for (int i = 0; i < 50; ++i) {
    const double temperature = 20.0 + 0.001 * i + (i % 3) * 0.01;
    near.push_back({0.5 * i, temperature});
    far.push_back({1e6 + 0.5 * i, temperature});
  }
  const LineFit a = fit_line(near), b = fit_line(far);
  CHECK_THAT(b.slope_K_per_s, WithinRel(a.slope_K_per_s, 1e-9));
  CHECK_THAT(b.at(1e6 + 30.0), WithinAbs(a.at(30.0), 1e-12));
}

TEST_CASE("too few points give a line without uncertainty") {
  CHECK(fit_line({}).count == 0);
  const Curve one{{3.0, 21.0}};
  CHECK(fit_line(one).at(100.0) == 21.0);
  const Curve two{{0.0, 20.0}, {2.0, 21.0}};
  const LineFit line = fit_line(two);
  CHECK_THAT(line.at(4.0), WithinAbs(22.0, 1e-12));
  CHECK(line.sd_K == 0.0);
  CHECK(line.u_at(4.0) == 0.0);
  const Curve same_time{{1.0, 20.0}, {1.0, 21.0}};
  CHECK(fit_line(same_time).slope_K_per_s == 0.0);
}
