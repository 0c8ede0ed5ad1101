#include "core/report/drawing/ticks.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>

namespace nestcup {

namespace {

/// Ends of the range are often a rounding error beside a tick: this share of a step is let pass.
constexpr double slack_steps = 1e-9;

/// Whole multiples of a step within a range: from `first` to `last`.
struct Multiples {
  double first;
  double last;
  [[nodiscard]] double count() const { return last - first + 1.0; }
};

Multiples multiples_within(double low, double high, double step) {
  return {std::ceil(low / step - slack_steps), std::floor(high / step + slack_steps)};
}

}  // namespace

Ticks round_ticks(double low, double high, int most) {
  assert(low < high && most >= 2);
  int power = static_cast<int>(std::floor(std::log10((high - low) / most)));
  for (;; ++power) {
    for (const int lead : {1, 2, 5}) {
      // Dividing keeps 0.1, 0.2 ... the doubles nearest to their decimals.
      const double scale = std::pow(10.0, std::abs(power));
      const double step = power < 0 ? lead / scale : lead * scale;
      const Multiples range = multiples_within(low, high, step);
      if (range.count() > most) continue;
      Ticks ticks{step, std::max(0, -power), {}};
      for (double i = range.first; i <= range.last; i += 1.0) {
        ticks.values.push_back(power < 0 ? i * lead / scale : i * lead * scale);
      }
      return ticks;
    }
  }
}

std::string tick_text(double value, int decimals) {
  std::string text = fmt::format("{:.{}f}", std::abs(value), decimals);
  const bool is_zero = text.find_first_of("123456789") == std::string::npos;
  return value < 0.0 && !is_zero ? "\xE2\x88\x92" + text : text;
}

}  // namespace nestcup
