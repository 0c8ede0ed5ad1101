// Axis ticks at round numbers.
#pragma once

#include <string>
#include <vector>

namespace nestcup {

/// A closed range of numbers.
struct Range {
  double low = 0.0;
  double high = 0.0;
  [[nodiscard]] double size() const { return high - low; }
  /// Widens the range so that it holds `value`.
  void hold(double value) {
    if (value < low) low = value;
    if (value > high) high = value;
  }
};

/// Ticks of one axis, all at multiples of one round step (1, 2 or 5 times a power of ten).
struct Ticks {
  double step = 1.0;
  int decimals = 0;            ///< digits behind the point that tell two ticks apart
  std::vector<double> values;  ///< rising, all within the range asked for
};

/// Ticks for the range [low, high] with the smallest step that needs at most `most` of them.
/// @param low, high  finite, low < high
/// @param most       at least 2
[[nodiscard]] Ticks round_ticks(double low, double high, int most);

/// One tick's label, with the minus sign of typography (UTF-8) and none on zero.
[[nodiscard]] std::string tick_text(double value, int decimals);

}  // namespace nestcup
