#include "sim/solid_course.hpp"

#include <algorithm>
#include <cmath>

namespace nestcup::sim {
namespace {

/// A logistic course over the part x of its time: its beginning and its end lie this many scales
/// before and behind the middle.
constexpr double reach = 5.0;

double logistic(double x) {
  return 1.0 / (1.0 + std::exp(-2.0 * reach * (x - 0.5)));
}
/// Integral of it over x, from minus infinity.
double logistic_sum(double x) {
  return std::log1p(std::exp(2.0 * reach * (x - 0.5))) / (2.0 * reach);
}
double logistic_span() {
  return logistic(1.0) - logistic(0.0);
}

}  // namespace

double SolidCourse::part(double since_s) const {
  return std::clamp(since_s / length_s_, 0.0, 1.0);
}

double SolidCourse::share(double since_s) const {
  const double x = part(since_s);
  if (solid_ == Solid::skinned) return (logistic(x) - logistic(0.0)) / logistic_span();
  return 1.0 - std::pow(1.0 - x, dimensions());
}

double SolidCourse::per_s(double since_s) const {
  const double x = part(since_s);
  if (solid_ == Solid::skinned) {
    const double slope = 2.0 * reach * logistic(x) * (1.0 - logistic(x));
    return slope / logistic_span() / length_s_;
  }
  return dimensions() / length_s_ * std::pow(1.0 - x, dimensions() - 1.0);
}

double SolidCourse::sum_s(double since_s) const {
  const double x = part(since_s);
  const double behind_s = std::max(0.0, since_s - length_s_);
  if (solid_ == Solid::skinned) {
    const double sum = logistic_sum(x) - logistic_sum(0.0) - x * logistic(0.0);
    return behind_s + length_s_ * sum / logistic_span();
  }
  const double lost = 1.0 - std::pow(1.0 - x, dimensions() + 1.0);
  return behind_s + length_s_ * (x - lost / (dimensions() + 1.0));
}

double SolidCourse::shortest_s() const {
  return solid_ == Solid::skinned ? length_s_ / (2.0 * reach) : 0.0;
}

}  // namespace nestcup::sim
