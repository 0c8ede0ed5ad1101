// The courses of a mixing that a run's readings allow, each with its probability.
//
// Behind the quick part of a mixing the heat may go on to come or to go: a second, slower step sets
// some free, and lid and foam take some up. In the readings of one probe both are the same further
// exponential; they differ by how large they usually are, and by what they mean: heat that a lid
// takes up is a leak and does not count to the corrected rise, heat of a slow step does.
#pragma once

#include <string_view>
#include <vector>

#include "core/analysis/course/course_fit.hpp"
#include "core/analysis/course/lack_of_fit.hpp"

namespace nestcup {

/// What goes on slowly behind the quick part.
enum class SlowPart { none, lid, release, both, solid };

[[nodiscard]] std::string_view slow_part_name(SlowPart slow);

/// The course of the releases alone, had there been no lid.
[[nodiscard]] CourseFit without_lid(CourseFit fit, SlowPart slow);

struct WeighedCourse {
  SlowPart slow = SlowPart::none;
  CourseFit fit;
  CoursePrior prior;
  LackOfFit lack;
  double probability = 1.0;  ///< before the readings, then with them: that this course, of all that
                             ///< were fitted, is the true one
  bool is_fitted = false;    ///< its slow part was fitted, not only stepped to

  /// Corrected rise. Heat that a lid of time t takes up from a cup with a release of time r makes
  /// the course of two releases with share w < 0 and fit.rise_K(); it is freed of both:
  ///   rise = fit.rise_K() (1 - w (1 - r/t))
  /// Beside a second release the lid has parameters of its own, and the fit's rise is free of it.
  [[nodiscard]] double rise_K() const;
  /// Standard uncertainty of the rise by the fit's covariance, K.
  [[nodiscard]] double u_rise_K() const;
};

struct CourseChoice {
  std::vector<WeighedCourse> courses;  ///< the most probable first; never empty

  [[nodiscard]] const WeighedCourse& best() const { return courses.front(); }
  /// Median of the courses' rises by their probabilities, each normally distributed, K. Of all
  /// values it has the least error to be expected, and a course that is far off and not probable
  /// does not draw it there as it draws a mean.
  [[nodiscard]] double rise_K() const;
  /// What the choice adds to the root of the mean square of the courses' own uncertainties, K: the
  /// root of the mean square of their distances to the median, so that far-off ones count; at least
  /// so much that twice the whole holds what two standard deviations of a normal distribution do.
  [[nodiscard]] double u_choice_K() const;
};

/// Weighs each course by the probability with which it gives the readings, in Laplace's
/// approximation (Kass and Raftery, Journal of the American Statistical Association 90 (1995) 773);
/// log likelihoods count less by the surplus scatter of the closest. Beforehand no slow part is the
/// most probable. A slow part that hardly shows is sought by some steps from the course
/// without, at a few times; one that does is fitted.
/// @param hint_s         first reading that clearly left the foreperiod
/// @param to_the_middle  whether, on a display that hides its noise, the middle of what the digits
///                       allow is taken, which costs about a second
[[nodiscard]] CourseChoice weighed_courses(CurveView curve, double hint_s, const Noise& noise,
                                           const CoursePrior& prior, bool to_the_middle = true);

}  // namespace nestcup
