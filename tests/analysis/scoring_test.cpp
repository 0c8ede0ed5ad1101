// The damped search against published fits.
//
// Misra1a is a set of the NIST Statistical Reference
// Datasets, nonlinear regression (https://www.itl.nist.gov/div898/strd/), data and certified values
// from memory: that the fit meets the certified digits shows that they are right.
#include "core/analysis/damped_scoring.hpp"

#include <array>
#include <cmath>

#include "tests/catch.hpp"

using namespace nestcup;

namespace {

struct Pair {
  double x, y;
};

/// y = b1 (1 - exp(-b2 x)), lower level of difficulty.
constexpr std::array misra1a{Pair{77.6, 10.07},  Pair{114.9, 14.73}, Pair{141.1, 17.94},
                             Pair{190.8, 23.93}, Pair{239.9, 29.61}, Pair{289.0, 35.18},
                             Pair{332.8, 40.02}, Pair{378.4, 44.82}, Pair{434.8, 50.76},
                             Pair{477.3, 55.05}, Pair{536.8, 61.01}, Pair{593.1, 66.40},
                             Pair{689.1, 75.47}, Pair{760.0, 81.78}};

/// Cooling of a cannon barrel, minutes and degrees Fahrenheit, in a room at 60 degrees from a start
/// at 130: Count Rumford (1798), as in Bates and Watts, Nonlinear Regression Analysis (1988).
constexpr std::array rumford{Pair{4, 126},  Pair{5, 125},  Pair{7, 123},  Pair{12, 120},
                             Pair{14, 119}, Pair{16, 118}, Pair{20, 116}, Pair{24, 115},
                             Pair{28, 114}, Pair{31, 113}, Pair{34, 112}, Pair{37.5, 111},
                             Pair{41, 110}};

const auto everywhere = [](const auto& p) { return p; };

}  // namespace

TEST_CASE("NIST Misra1a from both of its starts") {
  using Vector = Eigen::Vector2d;
  Vector p = GENERATE(Vector(500.0, 1e-4), Vector(250.0, 5e-4));
  const auto form = [](const Vector& b) {
    CostForm<2> sum;
    for (const Pair& pair : misra1a) {
      const double decay = std::exp(-b(1) * pair.x);
      sum.add({1.0 - decay, b(0) * pair.x * decay}, pair.y - b(0) * (1.0 - decay));
    }
    return sum;
  };
  const double cost = minimise<2>(form, everywhere, p, {200, 1e-16});
  CHECK_THAT(p(0), WithinRel(2.3894212918e+02, 1e-9));
  CHECK_THAT(p(1), WithinRel(5.5015643181e-04, 1e-9));
  CHECK_THAT(2.0 * cost, WithinRel(1.2455138894e-01, 1e-9));
  const double variance = 2.0 * cost / 12.0;
  const Eigen::Matrix2d covariance = form(p).normal.inverse() * variance;
  CHECK_THAT(std::sqrt(covariance(0, 0)), WithinRel(2.7070075241e+00, 1e-8));
  CHECK_THAT(std::sqrt(covariance(1, 1)), WithinRel(7.2668688436e-06, 1e-8));
}

TEST_CASE("Rumford's cooling barrel") {
  Eigen::Matrix<double, 1, 1> p;
  p << 0.05;
  const auto form = [](const Eigen::Matrix<double, 1, 1>& rate) {
    CostForm<1> sum;
    for (const Pair& pair : rumford) {
      const double decay = std::exp(-rate(0) * pair.x);
      Eigen::Matrix<double, 1, 1> slope;
      slope << -70.0 * pair.x * decay;
      sum.add(slope, pair.y - 60.0 - 70.0 * decay);
    }
    return sum;
  };
  const double cost = minimise<1>(form, everywhere, p, {100, 1e-14});
  CHECK_THAT(p(0), WithinAbs(0.0094155, 5e-8));
  CHECK_THAT(2.0 * cost, WithinAbs(44.156, 5e-4));
  CHECK_THAT(std::sqrt(2.0 * cost / 12.0), WithinAbs(1.918, 5e-4));
}
