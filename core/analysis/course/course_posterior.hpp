// What the readings of a coarse display leave open, by Monte Carlo.
#pragma once

#include "core/analysis/course/course_fit.hpp"

namespace nestcup {

/// Replaces a fit's parameters, covariance and noise by mean, covariance and mean of the joint
/// posterior distribution of parameters and noise, drawn by Metropolis' random walk (J. Chem. Phys.
/// 21 (1953) 1087) with steps shaped by the distribution itself; a Monte Carlo method as of JCGM
/// 101. Where digits change seldom the likelihood is no bell: any course that threads the rounding
/// intervals is as good as the likeliest one, and the middle of them is nearest to the truth.
/// The same readings draw the same numbers.
/// @param fit  of a display that hides its noise (Noise::is_hidden), at its optimum
void take_posterior(CourseFit& fit, CurveView curve, const CoursePrior& prior);

}  // namespace nestcup
