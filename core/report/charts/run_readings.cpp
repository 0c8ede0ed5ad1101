#include <algorithm>
#include <cmath>

#include "core/report/charts/run_marks.hpp"

namespace nestcup {

namespace {

// Marks get smaller and then vanish as readings crowd: the spacings on the page, pt.
constexpr double least_large_spacing = 9.0;
constexpr double least_small_spacing = 1.8;
constexpr double large_radius = 2.8;
constexpr double small_radius = 1.5;

constexpr TextStyle added_style{10.5, palette::added, true};
constexpr double left_out_radius = 3.2;
constexpr double edge_inset = 6.0;  // of a pointer to what lies beyond the plot

/// How one series of readings looks.
struct SeriesLook {
  Stroke stroke;
  Mark large;  ///< where readings are far apart
};

/// Mean distance of neighbours along the time axis, pt.
double page_spacing(std::span<const ChartPoint> points, const RunFrame& frame) {
  if (points.size() < 2) return frame.plot().width;
  const double length = frame.x(points.back().time_s) - frame.x(points.front().time_s);
  return length / static_cast<double>(points.size() - 1);
}

/// Lines with marks; a reading alone between two gaps always has one.
void draw_series(Canvas& canvas, std::span<const ChartPoint> points, const SeriesLook& look,
                 const RunFrame& frame) {
  const double spacing = page_spacing(points, frame);
  const bool is_sparse = spacing >= least_large_spacing;
  const bool is_crowded = spacing < least_small_spacing;
  for (const std::span<const ChartPoint> piece : pieces_between_gaps(points)) {
    const std::vector<PagePoint> places = frame.places(piece);
    canvas.polyline(places, look.stroke);
    if (is_crowded && places.size() > 1) continue;
    if (!is_sparse) {
      canvas.dots(places, small_radius, look.stroke.colour);
      continue;
    }
    for (const PagePoint& place : places) {
      canvas.mark(place, look.large, large_radius, look.stroke.colour);
    }
  }
}

/// "added" stands at that series' start, on the side away from the cup's readings.
void draw_added_name(Canvas& canvas, const RunChart& chart, const RunFrame& frame) {
  const ChartPoint& first = chart.added.front();
  const double cup_degC = line_at(chart.cup, first.time_s).value_or(first.temperature_degC);
  const double away = first.temperature_degC >= cup_degC ? -11.0 : 11.0;
  const double x = std::max(frame.x(first.time_s), frame.plot().left + 4.0);
  canvas.rimmed_text({x, frame.y(first.temperature_degC) + away},
                     Texts(chart.language)["run_chart.added"], added_style, Across::left);
}

}  // namespace

void draw_course(Canvas& canvas, const RunChart& chart, const RunFrame& frame) {
  canvas.polyline(frame.places(chart.course), strokes::course);
}

void draw_left_out(Canvas& canvas, PagePoint at, const PageBox& plot) {
  if (at.y < plot.top) {
    canvas.mark({at.x, plot.top + edge_inset}, Mark::up, left_out_radius, palette::ink);
  } else if (at.y > plot.bottom()) {
    canvas.mark({at.x, plot.bottom() - edge_inset}, Mark::down, left_out_radius, palette::ink);
  } else {
    canvas.mark(at, Mark::cross, left_out_radius, palette::ink);
  }
}

void draw_readings(Canvas& canvas, const RunChart& chart, const RunFrame& frame) {
  draw_series(canvas, chart.added, {strokes::added, Mark::diamond}, frame);
  draw_series(canvas, chart.cup, {strokes::cup, Mark::ring}, frame);
  for (const PagePoint& place : frame.places(chart.left_out)) {
    draw_left_out(canvas, place, frame.plot());
  }
  if (!chart.added.empty()) draw_added_name(canvas, chart, frame);
  const ChartPoint& last = chart.cup.back();
  canvas.rimmed_text({frame.x(last.time_s) + cup_name_gap, frame.y(last.temperature_degC)},
                     Texts(chart.language)["run_chart.cup"], cup_name_style, Across::left);
}

}  // namespace nestcup
