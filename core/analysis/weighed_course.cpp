// What weighed courses say together.
#include <algorithm>
#include <cmath>

#include "core/analysis/course_choice.hpp"

namespace nestcup {
namespace {

/// Probability of a rise below `rise_K`, each course's normally distributed.
double probability_below(const std::vector<WeighedCourse>& courses, double rise_K) {
  double sum = 0.0;
  for (const WeighedCourse& course : courses) {
    const double z = (rise_K - course.rise_K()) / course.u_rise_K();
    sum += course.probability * 0.5 * std::erfc(-z / std::sqrt(2.0));
  }
  return sum;
}

}  // namespace

std::string_view slow_part_name(SlowPart slow) {
  switch (slow) {
    case SlowPart::none:
      return "one release";
    case SlowPart::lid:
      return "one release and a lid that warms";
    case SlowPart::release:
      return "a quick and a slow release";
  }
  return "one release";
}

double WeighedCourse::rise_K() const {
  const double share = slow == SlowPart::lid ? fit.parameters(course::slow_share) : 0.0;
  return fit.rise_K() * (1.0 - share);
}

double WeighedCourse::u_rise_K() const {
  course::Vector slope = course::Vector::Zero();
  slope(course::rise_K) = 1.0;
  if (slow == SlowPart::lid) {
    slope(course::rise_K) -= fit.parameters(course::slow_share);
    slope(course::slow_share) = -fit.rise_K();
  }
  return std::sqrt(slope.dot(fit.covariance * slope));
}

double CourseChoice::rise_K() const {
  if (courses.size() == 1) return best().rise_K();
  constexpr double reach = 8.0;
  double low_K = INFINITY, high_K = -INFINITY;
  for (const WeighedCourse& course : courses) {
    low_K = std::min(low_K, course.rise_K() - reach * course.u_rise_K());
    high_K = std::max(high_K, course.rise_K() + reach * course.u_rise_K());
  }
  constexpr int halvings = 45;
  for (int i = 0; i < halvings; ++i) {
    const double middle_K = 0.5 * (low_K + high_K);
    (probability_below(courses, middle_K) < 0.5 ? low_K : high_K) = middle_K;
  }
  return 0.5 * (low_K + high_K);
}

double CourseChoice::u_choice_K() const {
  const double middle_K = rise_K();
  double sum = 0.0;
  for (const WeighedCourse& course : courses) {
    sum += course.probability * std::pow(course.rise_K() - middle_K, 2);
  }
  return std::sqrt(sum);
}

}  // namespace nestcup
