// What weighed courses say together.
#include <cmath>

#include "core/analysis/course_choice.hpp"

namespace nestcup {

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
  double sum = 0.0;
  for (const WeighedCourse& course : courses) sum += course.probability * course.rise_K();
  return sum;
}

double CourseChoice::u_choice_K() const {
  const double mean_K = rise_K();
  double sum = 0.0;
  for (const WeighedCourse& course : courses) {
    sum += course.probability * (course.rise_K() - mean_K) * (course.rise_K() - mean_K);
  }
  return std::sqrt(sum);
}

}  // namespace nestcup
