// Axes: from numbers to places on the page, tick labels in the chart's language, titles with units.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "core/report/drawing/canvas.hpp"
#include "core/report/drawing/ticks.hpp"
#include "core/report/words/texts.hpp"

namespace nestcup {

/// A linear scale: `range.low` stands at `from` and `range.high` at `to`, pt on the page.
struct LinearScale {
  Range range;
  double from = 0.0;
  double to = 0.0;
  [[nodiscard]] double at(double value) const {
    return from + (value - range.low) / range.size() * (to - from);
  }
};

/// Tick labels, all in units of ten to the power of `exponent`.
struct AxisTicks {
  std::vector<double> values;
  std::vector<std::string> labels;
  int exponent = 0;
};

/// The power of ten, a multiple of three, in whose units numbers up to `largest` are short; 0 for
/// 0.001 to 99999.
[[nodiscard]] int display_exponent(double largest);

/// At most `most` ticks of a range, labelled.
[[nodiscard]] AxisTicks axis_ticks(const Range& range, int most, const Texts& texts);

/// Ticks of an axis that lies: as many as there is room for their labels.
[[nodiscard]] AxisTicks lying_ticks(Canvas& canvas, const LinearScale& scale, const Texts& texts);

/// A unit as it stands behind a quantity and a slash, with a power of ten where there is one:
/// "kJ/mol" gives "(kJ/mol)", with exponent -6 "(10^-6 kJ/mol)" (ISO 80000-1, 7.1.4).
[[nodiscard]] std::string unit_divisor(std::string_view unit, int exponent);

/// "time / s": a quantity over its unit.
[[nodiscard]] std::string axis_title(std::string_view quantity, std::string_view unit,
                                     int exponent);

/// What the axis below a plot takes, pt: line, labels and title; without a title less.
inline constexpr double lower_axis_height = 42.0;
inline constexpr double untitled_axis_height = 20.0;

/// The axis below `plot`; where `title` is empty, line and labels alone.
void draw_lower_axis(Canvas& canvas, const PageBox& plot, const LinearScale& scale,
                     const AxisTicks& ticks, const std::string& title);

/// The axis left of `plot` with a grid across it.
/// @param title_x  where the middle of the upward title stands, pt
void draw_left_axis(Canvas& canvas, const PageBox& plot, const LinearScale& scale,
                    const AxisTicks& ticks, const std::string& title, double title_x);

/// Upright grid lines over the plot's height.
void draw_upright_grid(Canvas& canvas, const PageBox& plot, const LinearScale& scale,
                       const AxisTicks& ticks);

}  // namespace nestcup
