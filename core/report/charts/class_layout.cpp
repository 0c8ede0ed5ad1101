#include "core/report/charts/class_layout.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/base/uncertain_text.hpp"
#include "core/report/charts/class_marks.hpp"
#include "core/report/charts/class_range.hpp"
#include "core/report/drawing/spread.hpp"

namespace nestcup {

namespace {

constexpr double left = page_margin;
constexpr double right = page_width - page_margin;
constexpr double most_name_width = 170.0;
constexpr std::size_t most_name_lines = 2;
constexpr double column_gap = 14.0;
constexpr double column_row = 18.0;
constexpr double row_height = 20.0;
constexpr double key_gap = 6.0;

// Of many benches, sorted.
constexpr double most_dot_pitch = 8.0;
constexpr double dots_height = 600.0;
constexpr double name_row = 14.0;
constexpr double dots_margin = 5.0;  // above the first and below the last

TextStyle style_of(const ClassChartBench& bench, bool all_named) {
  return all_named && bench.outlying ? outlying_name_style : name_style;
}

void make_rows(ClassLayout& layout, Canvas& canvas, const ClassChart& chart) {
  const Texts texts(chart.language);
  layout.all_named = chart.benches.size() <= most_named_benches;
  std::vector<ClassChartBench> benches = chart.benches;
  if (!layout.all_named) {
    std::stable_sort(
        benches.begin(), benches.end(),
        [](const ClassChartBench& a, const ClassChartBench& b) { return a.value < b.value; });
  }
  const auto most_names = static_cast<std::size_t>(dots_height / name_row) - 1;
  std::size_t outlying = 0, named = 0;
  for (ClassChartBench& bench : benches) {
    ClassRow row{std::move(bench)};
    outlying += row.bench.outlying ? 1 : 0;
    row.is_named = layout.all_named || (row.bench.outlying && named < most_names);
    if (row.is_named) {
      ++named;
      row.name = fitted(canvas, row.bench.name, style_of(row.bench, layout.all_named),
                        most_name_width, layout.all_named ? most_name_lines : 1);
      row.value_text = class_number({row.bench.value, row.bench.u}, layout.ticks.exponent, texts);
    }
    layout.rows.push_back(std::move(row));
  }
  if (!layout.all_named && outlying > named) {
    layout.more = texts.fill("class_chart.more", {{"count", std::to_string(outlying - named)}});
  }
}

/// Heights of the rows from `top` on. @return where they end
double place_rows(ClassLayout& layout, double top) {
  double y = layout.all_named ? top : top + dots_margin;
  const double pitch =
      std::min(most_dot_pitch, dots_height / static_cast<double>(layout.rows.size()));
  for (ClassRow& row : layout.rows) {
    const double needed = row.name.height() + 4.0;
    const double height = layout.all_named ? std::max(row_height, needed) : pitch;
    row.y = row.label_y = y + 0.5 * height;
    y += height;
  }
  layout.mark_radius = layout.all_named ? 3.2 : std::clamp(0.45 * pitch, 0.8, 2.6);
  return layout.all_named ? y : y + dots_margin;
}

/// Of many benches the few names are moved apart.
void spread_names(ClassLayout& layout) {
  std::vector<double> tops, heights;
  for (const ClassRow& row : layout.rows) {
    if (!row.is_named) continue;
    tops.push_back(row.y - 0.5 * name_row);
    heights.push_back(name_row);
  }
  const double more = layout.more.empty() ? 0.0 : name_row;
  tops = spread(tops, heights, 0.0, {layout.plot.top, layout.plot.bottom() - more});
  std::size_t next = 0;
  for (ClassRow& row : layout.rows) {
    if (row.is_named) row.label_y = tops[next++] + 0.5 * name_row;
  }
}

/// Left and right end of the plot, between names and values.
void place_columns(ClassLayout& layout, Canvas& canvas, const Texts& texts) {
  double names = canvas.text_width(layout.more, name_style), values = 0.0;
  if (layout.all_named) {
    names = canvas.text_width(texts["class_chart.bench"], column_style);
    values = canvas.text_width(texts["class_chart.value"], column_style);
  }
  for (const ClassRow& row : layout.rows) {
    if (!row.is_named) continue;
    names = std::max(names, row.name.width);
    values =
        std::max(values, canvas.text_width(row.value_text, style_of(row.bench, layout.all_named)));
  }
  layout.plot.left = left + names + (layout.all_named ? column_gap : leader_room);
  layout.plot.width = right - values - column_gap - layout.plot.left;
}

}  // namespace

std::string class_number(const Uncertain& number, int exponent, const Texts& texts) {
  const double unit = std::pow(10.0, exponent);
  if (number.u == 0.0) return texts.number(fmt::format("{:.6g}", number.value / unit));
  return texts.number(uncertain_text({number.value / unit, number.u / unit}, ""));
}

ClassLayout laid_out(const ClassChart& chart) {
  ScratchCanvas scratch;
  Canvas& canvas = scratch.canvas();
  const Texts texts(chart.language);
  ClassLayout layout;
  layout.head = heading(canvas, chart.title, chart.subtitles, left);
  layout.values.range = class_range(chart);
  // The power of ten does not depend on how many ticks there are.
  layout.ticks = axis_ticks(layout.values.range, 2, texts);
  layout.key = class_key(chart, layout.ticks.exponent);
  layout.key_corner = {left, layout.head.bottom};
  layout.key_width = right - left;
  make_rows(layout, canvas, chart);
  place_columns(layout, canvas, texts);
  double y = layout.head.bottom + key_height(canvas, layout.key, layout.key_width) + key_gap;
  if (layout.all_named) {
    layout.columns_y = y + 0.5 * column_row;
    y += column_row;
  }
  layout.plot.top = y;
  layout.plot.height = place_rows(layout, y) - y;
  if (!layout.all_named) {
    layout.plot.height = std::max(layout.plot.height, dots_height);
    spread_names(layout);
  }
  layout.values.from = layout.plot.left;
  layout.values.to = layout.plot.right();
  layout.ticks = lying_ticks(canvas, layout.values, texts);
  layout.height = layout.plot.bottom() + lower_axis_height + page_margin;
  return layout;
}

}  // namespace nestcup
