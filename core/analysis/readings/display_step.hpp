// The step of a display or converter, told from its readings alone.
#pragma once

#include <vector>

#include "core/analysis/readings/point.hpp"

namespace nestcup {

struct DisplayStep {
  double step_K = 0.0;    ///< 0 where none shows
  double uneven_K = 0.0;  ///< standard uncertainty of a single value's place among the others
};

/// Even steps: the largest of which all temperatures are whole multiples, up to one common offset.
/// A display that shows but one or two values has the largest usual step of which they are
/// multiples.
///
/// Uneven ones: a thermistor's converter, or values that were rounded once more for printing
/// (sixteenths with two decimals: 0.06 or 0.07 apart). Values that come again and again with
/// nothing in between are its steps, and the mean of those next to each other is the step. One odd
/// value that stands still tells of no step but that it hides the noise: 0.1 K is supposed.
[[nodiscard]] DisplayStep display_step(CurveView curve);

/// Whether all of `values` are whole multiples of `step_K`.
[[nodiscard]] bool are_multiples(const std::vector<double>& values, double step_K);

}  // namespace nestcup
