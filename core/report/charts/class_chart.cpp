#include "core/report/charts/class_chart.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/report/charts/class_layout.hpp"
#include "core/report/charts/class_marks.hpp"

namespace nestcup {

namespace {

/// Larger numbers are mistakes, and their squares and ranges would not be finite.
constexpr double largest = 1e100;

bool is_usable(double value) {
  return std::abs(value) <= largest;
}

Result<void> check_bench(const ClassChartBench& bench) {
  const bool is_good = is_usable(bench.value) && is_usable(bench.u) && bench.u >= 0.0 &&
                       std::all_of(bench.runs.begin(), bench.runs.end(), is_usable);
  if (is_good) return {};
  return Error{Fault::bad_data,
               fmt::format("class chart: a number of \"{}\" is not finite, or its u is negative",
                           bench.name)};
}

Result<void> check(const ClassChart& chart) {
  if (chart.benches.empty()) {
    return Error{Fault::bad_data, "class chart: no benches, at least one is needed"};
  }
  for (const ClassChartBench& bench : chart.benches) {
    if (auto checked = check_bench(bench); !checked) return checked;
  }
  const Uncertain accepted = chart.accepted.value_or(Uncertain{});
  const bool is_good = is_usable(chart.robust_mean) && is_usable(chart.robust_sd) &&
                       chart.robust_sd >= 0.0 && is_usable(chart.median) &&
                       is_usable(accepted.value) && is_usable(accepted.u) && accepted.u >= 0.0;
  if (is_good) return {};
  return Error{Fault::bad_data,
               "class chart: mean, deviation, median or accepted value is not a usable number"};
}

void draw_labels(Canvas& canvas, const ClassRow& row, const ClassLayout& layout) {
  if (!row.is_named) return;
  draw_block(canvas, row.name, {page_margin, row.label_y - 0.5 * row.name.height()}, Across::left);
  canvas.text({page_width - page_margin, row.label_y}, row.value_text,
              {name_style.size, name_style.colour, row.name.style.bold}, Across::right);
  const PageBox& plot = layout.plot;
  if (layout.all_named) return;
  // From the name to the row, and along it to where the bench lies.
  const double from = page_margin + row.name.width + 4.0;
  const double bar = layout.values.at(row.bench.value - 2.0 * row.bench.u);
  canvas.line({from, row.label_y}, {plot.left - leader_room + 8.0, row.label_y}, strokes::leader);
  canvas.line({plot.left - leader_room + 8.0, row.label_y}, {plot.left, row.y}, strokes::leader);
  canvas.line({plot.left, row.y}, {std::clamp(bar, plot.left, plot.right()), row.y},
              strokes::leader);
}

void draw_columns(Canvas& canvas, const ClassLayout& layout, const Texts& texts) {
  const double right = page_width - page_margin;
  if (layout.all_named) {
    canvas.text({page_margin, layout.columns_y}, texts["class_chart.bench"], column_style,
                Across::left);
    canvas.text({right, layout.columns_y}, texts["class_chart.value"], column_style, Across::right);
  } else if (!layout.more.empty()) {
    canvas.text({page_margin, layout.plot.bottom() - 7.0}, layout.more, name_style, Across::left);
  }
  canvas.line({page_margin, layout.plot.top}, {right, layout.plot.top}, strokes::rule);
}

void draw(Canvas& canvas, const ClassChart& chart, const ClassLayout& layout) {
  const Texts texts(chart.language);
  layout.head.draw(canvas);
  draw_key(canvas, layout.key, layout.key_corner, layout.key_width);
  if (layout.all_named) {
    const PageBox& plot = layout.plot;
    for (const ClassRow& row : layout.rows) {
      canvas.line({plot.left, row.y}, {plot.right(), row.y}, strokes::grid);
    }
  }
  draw_statistics(canvas, chart, layout);
  draw_columns(canvas, layout, texts);
  for (const ClassRow& row : layout.rows) draw_labels(canvas, row, layout);
  // What lies apart is drawn last, so that no neighbour hides it.
  for (const bool outlying : {false, true}) {
    for (const ClassRow& row : layout.rows) {
      if (row.bench.outlying == outlying) draw_bench(canvas, row, layout);
    }
  }
  draw_lower_axis(canvas, layout.plot, layout.values, layout.ticks,
                  axis_title(chart.quantity, chart.unit, layout.ticks.exponent));
}

std::string description_of(const ClassChart& chart, const ClassLayout& layout) {
  const Texts texts(chart.language);
  const auto outlying = std::count_if(chart.benches.begin(), chart.benches.end(),
                                      [](const ClassChartBench& bench) { return bench.outlying; });
  std::string text = texts.fill(
      "class_chart.description",
      {{"count", std::to_string(chart.benches.size())},
       {"quantity", axis_title(chart.quantity, chart.unit, layout.ticks.exponent)},
       {"mean", class_number({chart.robust_mean, chart.robust_sd}, layout.ticks.exponent, texts)},
       {"outlying", std::to_string(outlying)}});
  if (chart.accepted) {
    text += " " +
            texts.fill("class_chart.accepted",
                       {{"value", class_number(*chart.accepted, layout.ticks.exponent, texts)}}) +
            ".";
  }
  return text;
}

}  // namespace

Result<ChartPage> chart_page(const ClassChart& chart) {
  if (auto checked = check(chart); !checked) return checked.error();
  const ClassLayout layout = laid_out(chart);
  return ChartPage{layout.height, chart.title, description_of(chart, layout), chart.language,
                   [chart, layout](Canvas& canvas) { draw(canvas, chart, layout); }};
}

}  // namespace nestcup
