// How the probe follows a mixing: a pour ramp seen through two first-order delays (release of heat
// and probe lag), and the fit of the mixing time with it.
#pragma once

#include "core/analysis/noise.hpp"
#include "core/analysis/point.hpp"

namespace nestcup {

/// Share of the whole rise that shows `since_s` after the start of a pour: the integral of a ramp
/// of length pour_s through two first-order delays in a row (closed form).
/// @param pour_s, first_s, second_s  > 0, s
/// @return 0 before the pour, rising to 1
[[nodiscard]] double response(double since_s, double pour_s, double first_s, double second_s);

struct MixingFit {
  double time_s = 0.0;  ///< start of the pour
  double u_time_s = 0.0;
  double rise_K = 0.0;  ///< of the fitted response
  double sd_K = 0.0;    ///< residual standard deviation
  double pour_s = 0.0;
  double first_s = 0.0;
  double second_s = 0.0;
};

/// Fits the mixing time to the adiabatic course around the mixing.
/// @param course   temperatures above the foreperiod freed of heat leak, K in temperature_degC,
///                 from before the mixing to the end of the main period; at least 4 points
/// @param hint_s   a first guess of the start of the pour
/// @param rise_K   the rise it ends at
[[nodiscard]] MixingFit fit_mixing(CurveView course, double hint_s, double rise_K,
                                   const Noise& noise);

}  // namespace nestcup
