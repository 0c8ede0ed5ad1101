#include <algorithm>
#include <array>
#include <cmath>

#include "core/base/uncertain_text.hpp"
#include "core/report/charts/run_marks.hpp"
#include "core/report/drawing/spread.hpp"

namespace nestcup {

namespace {

constexpr TextStyle line_style{10.0, palette::fitted};
constexpr TextStyle caption_style{10.0, palette::quiet_ink};
constexpr TextStyle value_style{13.0, palette::ink, true};

constexpr double aside = 8.0;      // between the arrow and a text
constexpr double off_line = 10.0;  // between a fitted line and its name
constexpr double row_gap = 2.0;    // between two texts under one another

/// Where the two lines stand at the equal-area time, on the page.
struct RiseEnds {
  double x = 0.0;
  double fore_y = 0.0;
  double after_y = 0.0;
  /// -1 where the after period's line lies higher on the page, else 1.
  [[nodiscard]] double direction() const { return after_y <= fore_y ? -1.0 : 1.0; }
};

std::optional<RiseEnds> rise_ends(const RunChart& chart, const RunFrame& frame) {
  if (!chart.equal_area_time_s) return std::nullopt;
  const auto fore = line_at(chart.fore_line, *chart.equal_area_time_s);
  const auto after = line_at(chart.after_line, *chart.equal_area_time_s);
  if (!fore || !after) return std::nullopt;
  return RiseEnds{frame.x(*chart.equal_area_time_s), frame.y(*fore), frame.y(*after)};
}

/// A text beside the arrow and the height at which it wants to stand.
struct Row {
  std::string words;
  TextStyle style;
  double y;  ///< of its middle
};

/// Right of the arrow the readings lie beyond the middle of the rise, left of it before: the value
/// goes to that part of the arrow which they leave free. The line that stops at the arrow is named
/// at its end, the other beyond it.
std::vector<Row> rows_of(const RunChart& chart, const RiseEnds& ends, bool on_right) {
  const Texts texts(chart.language);
  const double beyond = off_line * ends.direction();
  std::vector<Row> rows;
  rows.push_back(
      {texts["run_chart.fore_line"], line_style, on_right ? ends.fore_y : ends.fore_y - beyond});
  rows.push_back(
      {texts["run_chart.after_line"], line_style, on_right ? ends.after_y + beyond : ends.after_y});
  if (chart.corrected_rise_K) {
    const double y = ends.fore_y + (on_right ? 0.32 : 0.68) * (ends.after_y - ends.fore_y);
    const std::string value = texts.number(uncertain_text(*chart.corrected_rise_K, "K"));
    rows.push_back({texts["run_chart.corrected_rise"], caption_style, y - 8.0});
    rows.push_back({value, value_style, y + 6.0});
  }
  return rows;
}

/// Moves rows that are too near to one another apart, within the plot less its lane.
void make_room(std::vector<Row>& rows, const PageBox& plot, double lane) {
  std::stable_sort(rows.begin(), rows.end(), [](const Row& a, const Row& b) { return a.y < b.y; });
  std::vector<double> tops, heights;
  for (const Row& row : rows) {
    heights.push_back(1.1 * row.style.size);
    tops.push_back(row.y - 0.5 * heights.back());
  }
  tops = spread(tops, heights, row_gap, {plot.top + row_gap, plot.bottom() - lane});
  for (std::size_t i = 0; i < rows.size(); ++i) rows[i].y = tops[i] + 0.5 * heights[i];
}

}  // namespace

void draw_rise(Canvas& canvas, const RunChart& chart, const RunFrame& frame, double lane) {
  canvas.polyline(frame.places(chart.fore_line), strokes::fitted);
  canvas.polyline(frame.places(chart.after_line), strokes::fitted);
  const auto ends = rise_ends(chart, frame);
  if (!ends) return;
  double widest = 0.0;
  for (const Row& row : rows_of(chart, *ends, true)) {
    widest = std::max(widest, canvas.text_width(row.words, row.style));
  }
  const bool on_right = ends->x + aside + widest <= frame.plot().right();
  std::vector<Row> rows = rows_of(chart, *ends, on_right);
  make_room(rows, frame.plot(), lane);
  for (const Row& row : rows) {
    canvas.rimmed_text({on_right ? ends->x + aside : ends->x - aside, row.y}, row.words, row.style,
                       on_right ? Across::left : Across::right);
  }
  if (!chart.corrected_rise_K) return;
  const double middle_y = 0.5 * (ends->fore_y + ends->after_y);
  canvas.arrow({ends->x, middle_y}, ends->fore_y, strokes::rise);
  canvas.arrow({ends->x, middle_y}, ends->after_y, strokes::rise);
}

}  // namespace nestcup
