#include <vector>

#include "core/report/charts/run_axes.hpp"
#include "core/report/charts/run_marks.hpp"

namespace nestcup {

namespace {

constexpr double mK_per_K = 1000.0;
constexpr int most_ticks = 5;
constexpr double title_inset = 52.0;  // of the upward title, left of the panel

/// Points shrink as they crowd: the radius for this many over the width, pt.
double point_radius(std::size_t count, double width) {
  const double spacing = width / static_cast<double>(count);
  return spacing >= 4.0 ? 2.0 : spacing >= 1.5 ? 1.4 : 1.0;
}

/// The band of two standard deviations, with thin edges for print.
void draw_band(Canvas& canvas, const RunChart& chart, const PageBox& panel,
               const LinearScale& residual) {
  if (!chart.scatter_K) return;
  const double edge_mK = 2.0 * mK_per_K * *chart.scatter_K;
  const double top = residual.at(edge_mK);
  const double bottom = residual.at(-edge_mK);
  canvas.fill({panel.left, top, panel.width, bottom - top}, palette::scatter_band);
  for (const double y : {top, bottom}) {
    canvas.line({panel.left, y}, {panel.right(), y}, strokes::scatter_edge);
  }
}

void draw_moment_lines(Canvas& canvas, const RunChart& chart, const LinearScale& time,
                       const PageBox& panel) {
  for (const std::optional<double>& moment_s : {chart.mixing_time_s, chart.equal_area_time_s}) {
    if (!moment_s) continue;
    const double x = time.at(*moment_s);
    canvas.line({x, panel.top}, {x, panel.bottom()}, strokes::moment);
  }
}

}  // namespace

void draw_residuals(Canvas& canvas, const RunChart& chart, const LinearScale& time,
                    const PageBox& panel) {
  const Texts texts(chart.language);
  const LinearScale residual{residual_range_mK(chart), panel.bottom(), panel.top};
  fill_periods(canvas, chart, time, panel);
  draw_band(canvas, chart, panel, residual);
  const AxisTicks ticks = axis_ticks(residual.range, most_ticks, texts);
  draw_left_axis(canvas, panel, residual, ticks,
                 axis_title(texts["axis.residual"], "mK", ticks.exponent),
                 panel.left - title_inset);
  canvas.line({panel.left, residual.at(0.0)}, {panel.right(), residual.at(0.0)}, strokes::frame);
  draw_moment_lines(canvas, chart, time, panel);
  std::vector<PagePoint> used;
  for (const ChartResidual& point : chart.residuals) {
    const PagePoint place{time.at(point.time_s), residual.at(mK_per_K * point.residual_K)};
    if (point.left_out) {
      draw_left_out(canvas, place, panel);
    } else {
      used.push_back(place);
    }
  }
  canvas.dots(used, point_radius(chart.residuals.size(), panel.width), palette::cup);
}

}  // namespace nestcup
