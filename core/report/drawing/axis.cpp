#include "core/report/drawing/axis.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace nestcup {

namespace {

constexpr TextStyle tick_style{10.0, palette::ink};
constexpr TextStyle title_style{11.0, palette::ink};
constexpr double tick_length = 4.0;
constexpr double label_gap = 10.0;  // between two labels of a lying axis
constexpr int most_lying_ticks = 9;

/// The digits of a whole number as superscripts.
std::string superscript(int number) {
  static const char* const digits[] = {
      "\xE2\x81\xB0", "\xC2\xB9",     "\xC2\xB2",     "\xC2\xB3",     "\xE2\x81\xB4",
      "\xE2\x81\xB5", "\xE2\x81\xB6", "\xE2\x81\xB7", "\xE2\x81\xB8", "\xE2\x81\xB9"};
  std::string text = number < 0 ? "\xE2\x81\xBB" : "";
  for (const char digit : std::to_string(std::abs(number))) text += digits[digit - '0'];
  return text;
}

double widest_label(Canvas& canvas, const AxisTicks& ticks) {
  double widest = 0.0;
  for (const std::string& label : ticks.labels) {
    widest = std::max(widest, canvas.text_width(label, tick_style));
  }
  return widest;
}

}  // namespace

int display_exponent(double largest) {
  if (largest == 0.0 || (largest >= 1e-3 && largest < 1e5)) return 0;
  return 3 * static_cast<int>(std::floor(std::log10(largest) / 3.0));
}

AxisTicks axis_ticks(const Range& range, int most, const Texts& texts) {
  AxisTicks made;
  made.exponent = display_exponent(std::max(std::abs(range.low), std::abs(range.high)));
  const double unit = std::pow(10.0, made.exponent);
  const Ticks ticks = round_ticks(range.low / unit, range.high / unit, most);
  for (const double value : ticks.values) {
    made.values.push_back(value * unit);
    made.labels.push_back(texts.number(tick_text(value, ticks.decimals)));
  }
  return made;
}

AxisTicks lying_ticks(Canvas& canvas, const LinearScale& scale, const Texts& texts) {
  for (int most = most_lying_ticks;; --most) {
    AxisTicks ticks = axis_ticks(scale.range, most, texts);
    const bool is_alone = ticks.values.size() < 2;
    const double step = is_alone ? 0.0 : scale.at(ticks.values[1]) - scale.at(ticks.values[0]);
    if (most <= 2 || is_alone || widest_label(canvas, ticks) + label_gap <= step) return ticks;
  }
}

std::string unit_divisor(std::string_view unit, int exponent) {
  if (unit.empty()) return exponent == 0 ? "" : "10" + superscript(exponent);
  if (exponent != 0) return fmt::format("(10{} {})", superscript(exponent), unit);
  const bool is_product = unit.find_first_of("/ ") != std::string_view::npos;
  return is_product ? fmt::format("({})", unit) : std::string(unit);
}

std::string axis_title(std::string_view quantity, std::string_view unit, int exponent) {
  const std::string divisor = unit_divisor(unit, exponent);
  return divisor.empty() ? std::string(quantity) : fmt::format("{} / {}", quantity, divisor);
}

void draw_lower_axis(Canvas& canvas, const PageBox& plot, const LinearScale& scale,
                     const AxisTicks& ticks, const std::string& title) {
  for (std::size_t i = 0; i < ticks.values.size(); ++i) {
    const double x = scale.at(ticks.values[i]);
    canvas.line({x, plot.bottom()}, {x, plot.bottom() + tick_length}, strokes::frame);
    canvas.text({x, plot.bottom() + 13.0}, ticks.labels[i], tick_style, Across::centre);
  }
  canvas.line({plot.left, plot.bottom()}, {plot.right(), plot.bottom()}, strokes::frame);
  if (title.empty()) return;
  canvas.text({plot.left + 0.5 * plot.width, plot.bottom() + 32.0}, title, title_style,
              Across::centre);
}

void draw_left_axis(Canvas& canvas, const PageBox& plot, const LinearScale& scale,
                    const AxisTicks& ticks, const std::string& title, double title_x) {
  for (std::size_t i = 0; i < ticks.values.size(); ++i) {
    const double y = scale.at(ticks.values[i]);
    canvas.line({plot.left, y}, {plot.right(), y}, strokes::grid);
    canvas.line({plot.left - tick_length, y}, {plot.left, y}, strokes::frame);
    canvas.text({plot.left - 8.0, y}, ticks.labels[i], tick_style, Across::right);
  }
  canvas.line({plot.left, plot.top}, {plot.left, plot.bottom()}, strokes::frame);
  canvas.upward_text({title_x, plot.top + 0.5 * plot.height}, title, title_style);
}

void draw_upright_grid(Canvas& canvas, const PageBox& plot, const LinearScale& scale,
                       const AxisTicks& ticks) {
  for (const double value : ticks.values) {
    const double x = scale.at(value);
    canvas.line({x, plot.top}, {x, plot.bottom()}, strokes::grid);
  }
}

}  // namespace nestcup
