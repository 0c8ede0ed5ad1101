// Runs to draw: cup temperatures from a first-order release with heat leak, all invented.
#pragma once

#include <cstddef>

#include "core/report/charts/run_chart.hpp"

namespace nestcup {

/// What the example run looks like.
struct ExampleRun {
  double rise_K = 6.2;
  double interval_s = 1.0;
  double mixing_s = 60.0;
  double end_s = 300.0;
  double release_s = 6.0;  ///< time constant of the release, s
  bool has_added = false;
  double ripple_K = 0.02;  ///< amplitude of what stands for noise
  bool has_fit = false;    ///< residuals and their scatter; the course unless `by_lines`
  bool by_lines = false;   ///< no course: residuals from the lines of both periods
  int knocks = 0;          ///< readings left out, every fortieth
  double knock_K = 0.4;
  Language language = Language::english;
};

/// A chart with readings, periods, both lines and the rise, all from the run's closed form:
/// T = T0 + rise (1 - exp(-(t - t_mix)/tau)) exp(-k (t - t_mix)), so the equal-area time is near
/// t_mix + tau.
[[nodiscard]] RunChart example_chart(const ExampleRun& run);

}  // namespace nestcup
