#include <algorithm>
#include <cmath>

#include "core/base/uncertain_text.hpp"
#include "core/report/chart_marks.hpp"

namespace nestcup {

namespace {

constexpr TextStyle line_style{9.5, palette::fitted};
constexpr TextStyle caption_style{9.0, palette::quiet_ink};
constexpr TextStyle value_style{13.0, palette::ink, true};

constexpr const char* fore_words = "foreperiod carried forward";
constexpr const char* after_words = "after period carried back";
constexpr const char* rise_words = "corrected rise";

constexpr double aside = 8.0;        // between the arrow and a text
constexpr double off_line = 10.0;    // between a fitted line and its name
constexpr double head_length = 9.0;  // of an arrow
constexpr double head_half = 3.6;

/// Where the two lines stand at the equal-area time, on the page.
struct RiseEnds {
  double x = 0.0;
  double fore_y = 0.0;
  double after_y = 0.0;
  /// -1 where the after period's line lies higher on the page, else 1.
  [[nodiscard]] double direction() const { return after_y <= fore_y ? -1.0 : 1.0; }
};

std::optional<RiseEnds> rise_ends(const RunChart& chart, const ChartFrame& frame) {
  if (!chart.equal_area_time_s) return std::nullopt;
  const auto fore = line_at(chart.fore_line, *chart.equal_area_time_s);
  const auto after = line_at(chart.after_line, *chart.equal_area_time_s);
  if (!fore || !after) return std::nullopt;
  return RiseEnds{frame.x(*chart.equal_area_time_s), frame.y(*fore), frame.y(*after)};
}

void draw_arrow(Canvas& canvas, const RiseEnds& ends) {
  const double length = std::abs(ends.after_y - ends.fore_y);
  const double head = std::min(head_length, length / 3.0);
  const double half = head_half * head / head_length;
  const double top = std::min(ends.fore_y, ends.after_y);
  const double bottom = top + length;
  canvas.line({ends.x, top + head}, {ends.x, bottom - head}, strokes::rise);
  canvas.triangle({ends.x, top}, {ends.x - half, top + head}, {ends.x + half, top + head},
                  palette::ink);
  canvas.triangle({ends.x, bottom}, {ends.x - half, bottom - head}, {ends.x + half, bottom - head},
                  palette::ink);
}

/// The value with the minus sign of typography.
std::string value_text(const Uncertain& rise) {
  std::string text = uncertain_text(rise, "K");
  if (text.front() == '-') text.replace(0, 1, "\xE2\x88\x92");
  return text;
}

/// Right of the arrow the readings lie beyond the middle of the rise, left of it before: the value
/// goes to that part of the arrow which they leave free.
void draw_value(Canvas& canvas, const std::string& value, const RiseEnds& ends, bool on_right) {
  const double share = on_right ? 0.32 : 0.68;
  const double y = ends.fore_y + share * (ends.after_y - ends.fore_y);
  const Across across = on_right ? Across::left : Across::right;
  const double x = on_right ? ends.x + aside : ends.x - aside;
  canvas.rimmed_text({x, y - 8.0}, rise_words, caption_style, across);
  canvas.rimmed_text({x, y + 6.0}, value, value_style, across);
}

/// Names of the lines: at the end of the one that stops at the arrow, beyond the other.
void draw_line_names(Canvas& canvas, const RiseEnds& ends, bool on_right) {
  const double beyond = off_line * ends.direction();
  if (on_right) {
    canvas.rimmed_text({ends.x + aside, ends.fore_y}, fore_words, line_style, Across::left);
    canvas.rimmed_text({ends.x + aside, ends.after_y + beyond}, after_words, line_style,
                       Across::left);
  } else {
    canvas.rimmed_text({ends.x - aside, ends.fore_y - beyond}, fore_words, line_style,
                       Across::right);
    canvas.rimmed_text({ends.x - aside, ends.after_y}, after_words, line_style, Across::right);
  }
}

}  // namespace

void draw_rise(Canvas& canvas, const RunChart& chart, const ChartFrame& frame) {
  canvas.polyline(frame.places(chart.fore_line), strokes::fitted);
  canvas.polyline(frame.places(chart.after_line), strokes::fitted);
  const auto ends = rise_ends(chart, frame);
  if (!ends) return;
  const std::string value = chart.corrected_rise_K ? value_text(*chart.corrected_rise_K) : "";
  const double widest =
      std::max({canvas.text_width(value, value_style), canvas.text_width(fore_words, line_style),
                canvas.text_width(after_words, line_style)});
  const bool on_right = ends->x + aside + widest <= frame.plot().right();
  draw_line_names(canvas, *ends, on_right);
  if (value.empty()) return;
  draw_arrow(canvas, *ends);
  draw_value(canvas, value, *ends, on_right);
}

}  // namespace nestcup
