#include "drivers/transducer/platinum.hpp"

#include <cmath>

namespace nestcup::drivers {

namespace {

constexpr double a_per_K = 3.9083e-3;
constexpr double b_per_K2 = -5.775e-7;
constexpr double c_per_K4 = -4.183e-12;
/// More than the quadratic start can be off, so that the ends of the range are not lost.
constexpr double beyond_end_K = 1e-6;

/// The root of the quadratic, in the form that does not cancel near 0 degC.
double quadratic_degC(double ratio) {
  const double root = std::sqrt(a_per_K * a_per_K - 4.0 * b_per_K2 * (1.0 - ratio));
  return 2.0 * (ratio - 1.0) / (a_per_K + root);
}

}  // namespace

double platinum_ratio(double degC) {
  const double c_part = degC < 0.0 ? c_per_K4 * (degC - 100.0) * degC * degC * degC : 0.0;
  return 1.0 + degC * (a_per_K + b_per_K2 * degC) + c_part;
}

double platinum_degC(double ratio) {
  if (!(ratio >= 0.18 && ratio <= 3.91)) return std::nan("");
  double degC = quadratic_degC(ratio);
  // The start is at most 2.4 K off (at -200 degC), and each step squares that: three are enough.
  for (int i = 0; ratio < 1.0 && i < 4; ++i) {
    const double slope = a_per_K + degC * (2.0 * b_per_K2 + c_per_K4 * degC * (4.0 * degC - 300.0));
    degC -= (platinum_ratio(degC) - ratio) / slope;
  }
  const bool inside =
      degC >= lowest_platinum_degC - beyond_end_K && degC <= highest_platinum_degC + beyond_end_K;
  return inside ? degC : std::nan("");
}

}  // namespace nestcup::drivers
