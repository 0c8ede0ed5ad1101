// The parabola of the tails against certified values.
#include "core/analysis/readings/tail_sums.hpp"

#include <algorithm>

#include "tests/catch.hpp"
#include "tests/reference/reference_table.hpp"

using namespace nestcup;

namespace {

Curve pontius() {
  Curve curve;
  for (const auto& row : reference_table("nist_pontius.csv")) curve.push_back({row[0], row[1]});
  std::stable_sort(curve.begin(), curve.end(),
                   [](const Point& a, const Point& b) { return a.time_s < b.time_s; });
  return curve;
}

}  // namespace

TEST_CASE("a parabola through the Pontius data agrees with the certified values") {
  const Curve curve = pontius();
  REQUIRE(curve.size() == 40);
  const TailFit fit = TailSums(curve).fit(0);
  // The fit counts from the curve's last point; the certified polynomial from the origin.
  const double end = curve.back().time_s;
  const Eigen::Vector3d& c = fit.coefficients;
  CHECK_THAT(c(2), WithinRel(-0.316081871345029e-14, 1e-9));
  CHECK_THAT(c(1) - 2.0 * c(2) * end, WithinRel(0.732059160401003e-06, 1e-11));
  const double at_origin = curve.back().temperature_degC + c(0) - c(1) * end + c(2) * end * end;
  CHECK_THAT(at_origin, WithinRel(0.673565789473684e-03, 1e-9));
  // The squares are the difference of two sums near 60: eight of their digits are left.
  CHECK_THAT(fit.squares_K2, WithinRel(0.155761768796992e-05, 1e-7));
}

TEST_CASE("residuals about the parabola add up to its squares and to nothing") {
  const Curve curve = pontius();
  const TailSums sums(curve);
  const TailFit fit = sums.fit(0);
  double squares = 0.0;
  for (std::size_t i = 0; i < curve.size(); ++i) {
    squares += sums.residual_K(fit, i) * sums.residual_K(fit, i);
  }
  CHECK_THAT(squares, WithinRel(0.155761768796992e-05, 1e-9));
  CHECK_THAT(sums.mean_residual_K(fit, 0, curve.size()), WithinAbs(0.0, 1e-14));
}
