// Runs to draw: noise-free cup temperatures from a first-order release with heat leak.
#pragma once

#include <cstddef>

#include "core/report/run_chart.hpp"

namespace nestcup {

/// What the example run looks like.
struct ExampleRun {
  double rise_K = 6.2;
  double interval_s = 1.0;
  double mixing_s = 60.0;
  double end_s = 300.0;
  double release_s = 6.0;  ///< time constant of the release, s
  bool has_added = false;
};

/// A chart with readings, periods, both lines and the rise, all from the run's closed form:
/// T = T0 + rise (1 - exp(-(t - t_mix)/tau)) exp(-k (t - t_mix)), so the equal-area time is near
/// t_mix + tau.
[[nodiscard]] RunChart example_chart(const ExampleRun& run);

}  // namespace nestcup
