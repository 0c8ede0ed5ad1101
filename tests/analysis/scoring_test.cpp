// The damped search against a published fit of a cooling.
#include "core/analysis/course/damped_scoring.hpp"

#include <array>
#include <cmath>

#include "tests/catch.hpp"

using namespace nestcup;

namespace {

struct Pair {
  double x, y;
};

/// Cooling of a cannon barrel, minutes and degrees Fahrenheit, in a room at 60 degrees from a start
/// at 130: Count Rumford (1798), as in Bates and Watts, Nonlinear Regression Analysis (1988).
constexpr std::array rumford{Pair{4, 126},  Pair{5, 125},  Pair{7, 123},  Pair{12, 120},
                             Pair{14, 119}, Pair{16, 118}, Pair{20, 116}, Pair{24, 115},
                             Pair{28, 114}, Pair{31, 113}, Pair{34, 112}, Pair{37.5, 111},
                             Pair{41, 110}};

const auto everywhere = [](const auto& p) { return p; };

}  // namespace

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
