#include "core/report/charts/class_marks.hpp"

#include <algorithm>

namespace nestcup {

namespace {

constexpr Stroke mean_stroke{palette::ink, 1.4};
constexpr Stroke median_stroke{palette::ink, 1.2, 2.0, 2.5};
constexpr Stroke accepted_stroke{palette::added, 1.6, 8.0, 3.0};
constexpr Stroke accepted_edge{palette::added, 0.9, 1.0, 2.0};
constexpr Stroke bar_stroke{palette::cup, 1.1};
constexpr Stroke thin_bar_stroke{palette::cup, 0.5};
constexpr Stroke run_stroke{palette::quiet_ink, 0.9};
constexpr double cap = 2.6;
constexpr double run_drop = 5.0;  // of the ticks of single runs below the mark
constexpr double run_height = 4.5;
constexpr double outlying_factor = 1.25;
constexpr double pointer = 7.0;  // length of the pointer to what lies beyond the axis

void upright(Canvas& canvas, const PageBox& plot, double x, const Stroke& stroke) {
  canvas.line({x, plot.top}, {x, plot.bottom()}, stroke);
}

/// To the same last place as the mean.
std::string median_text(const ClassChart& chart, int exponent) {
  const std::string text =
      class_number({chart.median, chart.robust_sd}, exponent, Texts(chart.language));
  return text.substr(0, text.find(" \xC2\xB1"));
}

KeyEntry bench_entry(std::string words) {
  return {std::move(words), [](Canvas& canvas, const PageBox& box) {
            const double y = box.top + 0.5 * box.height;
            canvas.line({box.left, y}, {box.right(), y}, bar_stroke);
            canvas.mark({box.left + 0.5 * box.width, y}, Mark::disc, 3.2, palette::cup);
          }};
}

KeyEntry run_entry(std::string words) {
  return {
      std::move(words), [](Canvas& canvas, const PageBox& box) {
        const double x = box.left + 0.5 * box.width, y = box.top + 0.5 * box.height;
        for (const double dx : {-5.0, 1.0, 4.0}) {
          canvas.line({x + dx, y - 0.5 * run_height}, {x + dx, y + 0.5 * run_height}, run_stroke);
        }
      }};
}

KeyEntry accepted_entry(std::string words) {
  return {std::move(words), [](Canvas& canvas, const PageBox& box) {
            const double y = box.top + 0.5 * box.height;
            canvas.line({box.left, y}, {box.right(), y}, accepted_stroke);
            for (const double dy : {-4.0, 4.0}) {
              canvas.line({box.left, y + dy}, {box.right(), y + dy}, accepted_edge);
            }
          }};
}

/// The bar of two standard uncertainties as far as the axis goes, with caps where it ends.
void draw_bar(Canvas& canvas, const ClassRow& row, const ClassLayout& layout) {
  const PageBox& plot = layout.plot;
  const Stroke& stroke = layout.all_named ? bar_stroke : thin_bar_stroke;
  const double low = layout.values.at(row.bench.value - 2.0 * row.bench.u);
  const double high = layout.values.at(row.bench.value + 2.0 * row.bench.u);
  const double from = std::max(low, plot.left), to = std::min(high, plot.right());
  if (from >= to) return;
  canvas.line({from, row.y}, {to, row.y}, stroke);
  if (!layout.all_named) return;
  for (const double x : {low, high}) {
    if (x < plot.left || x > plot.right()) continue;
    canvas.line({x, row.y - cap}, {x, row.y + cap}, stroke);
  }
}

void draw_runs(Canvas& canvas, const ClassRow& row, const ClassLayout& layout) {
  for (const double run : row.bench.runs) {
    const double x = layout.values.at(run);
    if (x < layout.plot.left || x > layout.plot.right()) continue;
    canvas.line({x, row.y + run_drop}, {x, row.y + run_drop + run_height}, run_stroke);
  }
}

/// A value beyond the axis: a pointer at the plot's edge.
void draw_pointer(Canvas& canvas, const ClassRow& row, double edge_x, double direction) {
  const double half = 0.6 * pointer, back = edge_x - direction * pointer;
  canvas.triangle({edge_x, row.y}, {back, row.y - half}, {back, row.y + half}, palette::ink);
}

}  // namespace

std::vector<KeyEntry> class_key(const ClassChart& chart, int exponent) {
  const Texts texts(chart.language);
  const auto number = [&](double value, double u) {
    return class_number({value, u}, exponent, texts);
  };
  const auto& benches = chart.benches;
  const bool all_named = benches.size() <= most_named_benches;
  std::vector<KeyEntry> key{
      bench_entry(texts[all_named ? "class_chart.bench_bar" : "class_chart.sorted_bar"])};
  if (all_named && std::any_of(benches.begin(), benches.end(),
                               [](const ClassChartBench& bench) { return !bench.runs.empty(); })) {
    key.push_back(run_entry(texts["class_chart.run"]));
  }
  if (std::any_of(benches.begin(), benches.end(),
                  [](const ClassChartBench& bench) { return bench.outlying; })) {
    key.push_back(key_mark(texts["class_chart.outlying"], Mark::diamond, palette::ink));
  }
  key.push_back(key_band(
      texts.fill("class_chart.mean", {{"value", number(chart.robust_mean, chart.robust_sd)}}),
      palette::scatter_band, mean_stroke));
  key.push_back(key_line(
      texts.fill("class_chart.median", {{"value", median_text(chart, exponent)}}), median_stroke));
  if (chart.accepted) {
    key.push_back(accepted_entry(texts.fill(
        "class_chart.accepted", {{"value", number(chart.accepted->value, chart.accepted->u)}})));
  }
  return key;
}

void draw_statistics(Canvas& canvas, const ClassChart& chart, const ClassLayout& layout) {
  const PageBox& plot = layout.plot;
  const double low = layout.values.at(chart.robust_mean - chart.robust_sd);
  const double high = layout.values.at(chart.robust_mean + chart.robust_sd);
  canvas.fill({low, plot.top, high - low, plot.height}, palette::scatter_band);
  draw_upright_grid(canvas, plot, layout.values, layout.ticks);
  upright(canvas, plot, layout.values.at(chart.robust_mean), mean_stroke);
  upright(canvas, plot, layout.values.at(chart.median), median_stroke);
  if (!chart.accepted) return;
  upright(canvas, plot, layout.values.at(chart.accepted->value), accepted_stroke);
  for (const double side : {-1.0, 1.0}) {
    if (chart.accepted->u == 0.0) break;
    upright(canvas, plot, layout.values.at(chart.accepted->value + side * chart.accepted->u),
            accepted_edge);
  }
}

void draw_bench(Canvas& canvas, const ClassRow& row, const ClassLayout& layout) {
  const PageBox& plot = layout.plot;
  draw_bar(canvas, row, layout);
  if (layout.all_named) draw_runs(canvas, row, layout);
  const double x = layout.values.at(row.bench.value);
  if (x < plot.left) return draw_pointer(canvas, row, plot.left, -1.0);
  if (x > plot.right()) return draw_pointer(canvas, row, plot.right(), 1.0);
  if (row.bench.outlying) {
    const double radius = std::max(3.0, outlying_factor * layout.mark_radius);
    canvas.mark({x, row.y}, Mark::diamond, radius, palette::ink);
  } else {
    canvas.mark({x, row.y}, Mark::disc, layout.mark_radius, palette::cup);
  }
}

}  // namespace nestcup
