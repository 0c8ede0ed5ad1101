// How a class's chart marks benches, statistics and the accepted value.
#pragma once

#include <vector>

#include "core/report/charts/class_layout.hpp"

namespace nestcup {

inline constexpr TextStyle name_style{10.5, palette::ink};
inline constexpr TextStyle outlying_name_style{10.5, palette::ink, true};
inline constexpr TextStyle column_style{10.0, palette::quiet_ink};

/// What marks and lines mean, with the statistics' numbers.
/// @param exponent  power of ten in whose units the numbers are printed
[[nodiscard]] std::vector<KeyEntry> class_key(const ClassChart& chart, int exponent);

/// Robust mean with its band, median and accepted value, over the plot's height.
void draw_statistics(Canvas& canvas, const ClassChart& chart, const ClassLayout& layout);

/// Mark, bar and single runs of one bench.
void draw_bench(Canvas& canvas, const ClassRow& row, const ClassLayout& layout);

}  // namespace nestcup
