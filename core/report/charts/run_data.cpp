#include "core/report/charts/run_data.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace nestcup {

namespace {

constexpr double gap_spacings = 5.0;
constexpr double least_temperature_range_K = 0.2;
constexpr double least_residual_range_mK = 0.5;
/// Beyond these a number is no time of a run and no temperature of a vessel.
constexpr double largest_time_s = 1e9;
constexpr double largest_degC = 1e4;

/// All series and lines of a chart, with their names for messages.
struct NamedPoints {
  const char* name;
  std::span<const ChartPoint> points;
};

std::array<NamedPoints, 5> all_points(const RunChart& chart) {
  return {{{"cup readings", chart.cup},
           {"added readings", chart.added},
           {"foreperiod's line", chart.fore_line},
           {"after period's line", chart.after_line},
           {"fitted course", chart.course}}};
}

Result<void> check_points(const NamedPoints& series) {
  for (std::size_t i = 0; i < series.points.size(); ++i) {
    const ChartPoint& point = series.points[i];
    if (!std::isfinite(point.time_s) || !std::isfinite(point.temperature_degC)) {
      return Error{Fault::bad_data, fmt::format("chart: point {} of the {} is not a finite number",
                                                i + 1, series.name)};
    }
    if (std::abs(point.time_s) > largest_time_s ||
        std::abs(point.temperature_degC) > largest_degC) {
      return Error{Fault::bad_data,
                   fmt::format("chart: point {} of the {} ({} s, {} degC) is out of all range",
                               i + 1, series.name, point.time_s, point.temperature_degC)};
    }
    if (i > 0 && point.time_s < series.points[i - 1].time_s) {
      return Error{Fault::bad_data, fmt::format("chart: the times of the {} go back at point {}",
                                                series.name, i + 1)};
    }
  }
  return {};
}

Result<void> check_residuals(const RunChart& chart) {
  for (std::size_t i = 0; i < chart.residuals.size(); ++i) {
    const ChartResidual& residual = chart.residuals[i];
    if (!std::isfinite(residual.time_s) || !(std::abs(residual.residual_K) <= largest_degC)) {
      return Error{Fault::bad_data,
                   fmt::format("chart: residual {} is not a finite number in range", i + 1)};
    }
  }
  const double scatter_K = chart.scatter_K.value_or(0.0);
  if (!(scatter_K >= 0.0 && scatter_K <= largest_degC)) {
    return Error{Fault::bad_data, "chart: the scatter of a reading is negative or out of range"};
  }
  return {};
}

Result<void> check_numbers(const RunChart& chart) {
  const Uncertain rise = chart.corrected_rise_K.value_or(Uncertain{});
  const std::array<double, 10> numbers{chart.fore.start_s,
                                       chart.fore.end_s,
                                       chart.main.start_s,
                                       chart.main.end_s,
                                       chart.after.start_s,
                                       chart.after.end_s,
                                       chart.mixing_time_s.value_or(0.0),
                                       chart.equal_area_time_s.value_or(0.0),
                                       rise.value,
                                       rise.u};
  const auto is_usable = [](double x) { return std::abs(x) <= largest_time_s; };
  if (!std::all_of(numbers.begin(), numbers.end(), is_usable)) {
    return Error{Fault::bad_data,
                 "chart: a bound of a period, a time or the rise is not a finite number in range"};
  }
  return {};
}

/// The median of the spacings between readings, s; readings of one instant do not count.
double median_spacing_s(std::span<const ChartPoint> points) {
  std::vector<double> spacings_s;
  for (std::size_t i = 1; i < points.size(); ++i) {
    const double spacing_s = points[i].time_s - points[i - 1].time_s;
    if (spacing_s > 0.0) spacings_s.push_back(spacing_s);
  }
  if (spacings_s.empty()) return 0.0;
  const auto middle = spacings_s.begin() + static_cast<std::ptrdiff_t>(spacings_s.size() / 2);
  std::nth_element(spacings_s.begin(), middle, spacings_s.end());
  return *middle;
}

}  // namespace

Result<void> check_chart(const RunChart& chart) {
  if (chart.cup.size() < 2) {
    return Error{
        Fault::bad_data,
        fmt::format("chart: {} readings of the cup, at least 2 are needed", chart.cup.size())};
  }
  for (const NamedPoints& series : all_points(chart)) {
    if (auto checked = check_points(series); !checked) return checked;
  }
  if (chart.cup.front().time_s == chart.cup.back().time_s) {
    return Error{Fault::bad_data, "chart: all readings of the cup have the same time"};
  }
  if (chart.subtitles.size() > most_subtitles) {
    return Error{Fault::bad_data, fmt::format("chart: {} subtitles, at most {} have room",
                                              chart.subtitles.size(), most_subtitles)};
  }
  if (auto checked = check_points({"left-out readings", chart.left_out}); !checked) return checked;
  if (auto checked = check_residuals(chart); !checked) return checked;
  return check_numbers(chart);
}

std::vector<std::span<const ChartPoint>> pieces_between_gaps(std::span<const ChartPoint> points) {
  if (points.empty()) return {};
  if (points.size() == 1) return {points};
  const double widest_s = gap_spacings * median_spacing_s(points);
  std::vector<std::span<const ChartPoint>> pieces;
  std::size_t start = 0;
  for (std::size_t i = 1; i < points.size(); ++i) {
    if (points[i].time_s - points[i - 1].time_s <= widest_s) continue;
    pieces.push_back(points.subspan(start, i - start));
    start = i;
  }
  pieces.push_back(points.subspan(start));
  return pieces;
}

Range time_range(const RunChart& chart) {
  Range range{chart.cup.front().time_s, chart.cup.back().time_s};
  for (const NamedPoints& series : all_points(chart)) {
    if (series.points.empty()) continue;
    range.hold(series.points.front().time_s);
    range.hold(series.points.back().time_s);
  }
  return range;
}

Range temperature_range(const RunChart& chart) {
  const double first = chart.cup.front().temperature_degC;
  Range range{first, first};
  for (const NamedPoints& series : all_points(chart)) {
    for (const ChartPoint& point : series.points) range.hold(point.temperature_degC);
  }
  const double missing = least_temperature_range_K - range.size();
  if (missing > 0.0) range = {range.low - 0.5 * missing, range.high + 0.5 * missing};
  return range;
}

Range residual_range_mK(const RunChart& chart) {
  constexpr double mK_per_K = 1000.0, head_room = 1.15;
  double farthest_mK = 2.0 * mK_per_K * chart.scatter_K.value_or(0.0);
  for (const ChartResidual& residual : chart.residuals) {
    if (residual.left_out) continue;
    farthest_mK = std::max(farthest_mK, mK_per_K * std::abs(residual.residual_K));
  }
  const double edge_mK = std::max(head_room * farthest_mK, least_residual_range_mK);
  return {-edge_mK, edge_mK};
}

std::optional<double> line_at(std::span<const ChartPoint> line, double time_s) {
  if (line.empty()) return std::nullopt;
  if (time_s <= line.front().time_s) return line.front().temperature_degC;
  if (time_s >= line.back().time_s) return line.back().temperature_degC;
  const auto next = std::upper_bound(line.begin(), line.end(), time_s,
                                     [](double t, const ChartPoint& p) { return t < p.time_s; });
  const ChartPoint& b = *next;
  const ChartPoint& a = *(next - 1);
  const double share = (time_s - a.time_s) / (b.time_s - a.time_s);
  return a.temperature_degC + share * (b.temperature_degC - a.temperature_degC);
}

}  // namespace nestcup
