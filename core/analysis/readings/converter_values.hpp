// What a converter said, from values that were rounded once more for printing.
#pragma once

#include "core/analysis/readings/point.hpp"

namespace nestcup {

struct Converted {
  Curve curve;
  /// Standard uncertainty of the place of a single value, which it has for good; 0 where that is
  /// known.
  double uneven_K = 0.0;
};

/// Many converters go by halves of a degree down to sixty-fourths, or by tenths of a degree
/// Fahrenheit, and have their values printed with one to three decimals, rounded or cut off;
/// 23.0625 becomes 23.06 and 23.125 becomes 23.13. Where all values of a curve are such, and no
/// chance would make them so, they are put back. Other printed values of a converter with uneven
/// steps (a thermistor's) are moved to the line through their neighbours, as far as printing may
/// have moved them. All others come back as they are.
[[nodiscard]] Converted as_converted(Curve curve);

}  // namespace nestcup
