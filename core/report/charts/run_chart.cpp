#include "core/report/charts/run_chart.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "core/base/uncertain_text.hpp"
#include "core/report/charts/run_axes.hpp"
#include "core/report/charts/run_marks.hpp"
#include "core/report/drawing/heading.hpp"
#include "core/report/drawing/key.hpp"

namespace nestcup {

namespace {

constexpr double plot_left = 74.0;  // room for the axes' labels and titles
constexpr double title_inset = 52.0;
constexpr double plot_height = 300.0;
constexpr double panel_height = 104.0;
constexpr double panel_gap = 12.0;  // between plot and panel, where no key stands between them
constexpr double key_gap = 8.0;
constexpr double head_room = 20.0;
constexpr double foot_room = 20.0;
constexpr int most_temperature_ticks = 8;
constexpr double mK_per_K = 1000.0;

/// Where everything lies.
struct Layout {
  ChartHeading head;
  std::vector<KeyEntry> key;
  PageBox plot;
  PagePoint key_corner;
  PageBox panel;  ///< no height: no residuals
  double height = 0.0;
};

/// Significant digits as for an uncertainty: "8.4 mK".
std::string scatter_text(double scatter_K) {
  const double scatter_mK = mK_per_K * scatter_K;
  return fmt::format("{:.{}f} mK", scatter_mK, scatter_mK < 10.0 ? 1 : 0);
}

std::vector<KeyEntry> key_of(const RunChart& chart) {
  const Texts texts(chart.language);
  std::vector<KeyEntry> key;
  if (!chart.course.empty()) {
    key.push_back(key_line(texts["run_chart.course"], strokes::course));
  }
  if (!chart.residuals.empty()) {
    key.push_back(
        key_mark(texts[chart.course.empty() ? "run_chart.off_lines" : "run_chart.off_course"],
                 Mark::disc, palette::cup));
    if (chart.scatter_K) {
      key.push_back(key_band(
          texts.fill("run_chart.scatter", {{"s", texts.number(scatter_text(*chart.scatter_K))}}),
          palette::scatter_band, strokes::frame));
    }
  }
  if (!chart.left_out.empty()) {
    key.push_back(key_mark(
        texts.fill("run_chart.left_out", {{"count", std::to_string(chart.left_out.size())}}),
        Mark::cross, palette::ink));
  }
  return key;
}

Layout laid_out(const RunChart& chart) {
  ScratchCanvas scratch;
  Canvas& canvas = scratch.canvas();
  Layout layout;
  layout.head = heading(canvas, chart.title, chart.subtitles, plot_left);
  const double name_width =
      canvas.text_width(Texts(chart.language)["run_chart.cup"], cup_name_style);
  const double width = page_width - plot_left - cup_name_gap - name_width - page_margin;
  layout.plot = {plot_left, layout.head.bottom + period_strip_height, width, plot_height};
  layout.key = key_of(chart);
  const double key_width = page_width - plot_left - page_margin;
  const double key_rows = key_height(canvas, layout.key, key_width);
  const double key_room = layout.key.empty() ? 0.0 : key_rows + key_gap;
  double y = layout.plot.bottom();
  if (chart.residuals.empty()) {
    y += lower_axis_height;
    layout.key_corner = {plot_left, y + key_gap};
    y += key_room;
  } else {
    layout.key_corner = {plot_left, y + key_gap};
    y += key_room + panel_gap;
    layout.panel = {plot_left, y, width, panel_height};
    y = layout.panel.bottom() + lower_axis_height;
  }
  layout.height = y + page_margin;
  return layout;
}

void draw(Canvas& canvas, const RunChart& chart, const Layout& layout) {
  const Texts texts(chart.language);
  const PageBox& plot = layout.plot;
  const bool has_panel = layout.panel.height > 0.0;
  layout.head.draw(canvas);
  const double lane = moment_lane_height(canvas, chart, plot);
  const RunFrame frame(plot, time_range(chart), temperature_range(chart), head_room,
                       lane + foot_room);
  fill_periods(canvas, chart, frame.time(), plot);
  draw_period_names(canvas, chart, frame);
  const AxisTicks degrees = axis_ticks(frame.temperature().range, most_temperature_ticks, texts);
  draw_left_axis(canvas, plot, frame.temperature(), degrees,
                 axis_title(texts["axis.temperature"],
                            "\xC2\xB0"
                            "C",
                            degrees.exponent),
                 plot.left - title_inset);
  const AxisTicks seconds = lying_ticks(canvas, frame.time(), texts);
  draw_lower_axis(canvas, has_panel ? layout.panel : plot, frame.time(), seconds,
                  axis_title(texts["axis.time"], "s", seconds.exponent));
  if (has_panel)
    canvas.line({plot.left, plot.bottom()}, {plot.right(), plot.bottom()}, strokes::frame);
  draw_moments(canvas, chart, frame);
  draw_course(canvas, chart, frame);
  draw_readings(canvas, chart, frame);
  draw_rise(canvas, chart, frame, lane);
  draw_key(canvas, layout.key, layout.key_corner, page_width - plot_left - page_margin);
  if (has_panel) draw_residuals(canvas, chart, frame.time(), layout.panel);
}

std::string description_of(const RunChart& chart) {
  const Texts texts(chart.language);
  std::string text =
      texts.fill("run_chart.description", {{"count", std::to_string(chart.cup.size())}});
  if (chart.mixing_time_s) {
    const std::string time = texts.number(fmt::format("{:.1f} s", *chart.mixing_time_s));
    text += " " + texts.fill("run_chart.description_mixing", {{"time", time}});
  }
  if (chart.corrected_rise_K) {
    const std::string rise = texts.number(uncertain_text(*chart.corrected_rise_K, "K"));
    text += " " + texts.fill("run_chart.description_rise", {{"rise", rise}});
  }
  return text;
}

}  // namespace

Result<ChartPage> chart_page(const RunChart& chart) {
  if (auto checked = check_chart(chart); !checked) return checked.error();
  const Layout layout = laid_out(chart);
  return ChartPage{layout.height, chart.title, description_of(chart), chart.language,
                   [chart, layout](Canvas& canvas) { draw(canvas, chart, layout); }};
}

}  // namespace nestcup
