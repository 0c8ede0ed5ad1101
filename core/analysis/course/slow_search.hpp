// The search for what goes on slowly behind a mixing. Two exponentials, pour, lag and leak have
// more than one valley: fits begin at several places, and where other forms of course have ended.
#pragma once

#include "core/analysis/course/course_fit.hpp"

namespace nestcup {

/// Logarithm of the readings' probability about a course, less what is the same for every course.
[[nodiscard]] double log_probability(CurveView curve, const MixingCourse& course,
                                     const Noise& noise);

/// Of two fits of one form the more probable one; the scatter of the closer one judges both.
[[nodiscard]] CourseFit more_probable(CurveView curve, CourseFit a, CourseFit b,
                                      const CoursePrior& prior);

/// A lid's course, begun at what is known of lids.
/// @param plain  the fit without anything slow
/// @param prior  with the lid's share and time for those of the second release
[[nodiscard]] CourseFit fitted_lid(CurveView curve, const CourseFit& plain, const Noise& noise,
                                   const CoursePrior& prior);

/// A course with two releases, or with those and a lid: the best of several starts.
/// @param plain  the fit without anything slow
[[nodiscard]] CourseFit fitted_release(CurveView curve, const CourseFit& plain, course::Form form,
                                       const Noise& noise, const CoursePrior& prior);

/// A solid's course: the best of several starts.
/// @param form   one of course::solid_forms
/// @param prior  with the solid's time for the pour's
[[nodiscard]] CourseFit fitted_solid(CurveView curve, const CourseFit& plain, course::Form form,
                                     const Noise& noise, const CoursePrior& prior);

}  // namespace nestcup
