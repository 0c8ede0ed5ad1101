#include "tools/watch/plot.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "core/report/drawing/ticks.hpp"
#include "tools/cli/text_layout.hpp"

namespace nestcup::watch {
namespace {

/// So much at least is shown, or noise would look like a mountain.
constexpr double smallest_range_K = 0.2;

std::optional<Range> range_of(const std::vector<PlotCurve>& curves, double span_min) {
  std::optional<Range> range;
  for (const PlotCurve& curve : curves) {
    for (const auto& part : curve.parts) {
      for (const auto& point : part) {
        if (point.minute < -span_min || !std::isfinite(point.degC)) continue;
        if (!range) range = Range{point.degC, point.degC};
        range->hold(point.degC);
      }
    }
  }
  if (!range) return range;
  const double lacks = std::max(smallest_range_K - range->size(), 0.0);
  return Range{range->low - lacks / 2.0, range->high + lacks / 2.0};
}

std::string to_the_right(const std::string& text, std::size_t columns) {
  const std::size_t width = cli::display_width(text);
  return std::string(columns - std::min(width, columns), ' ') + text;
}

/// The labels of the rows from above, all equally wide.
std::vector<std::string> labels_of(const Range& range, int rows, const Words& words) {
  std::vector<std::string> labels(static_cast<std::size_t>(rows));
  const Ticks ticks = round_ticks(range.low, range.high, std::max(rows / 2, 2));
  for (const double tick : ticks.values) {
    const double part = (range.high - tick) / range.size();
    const auto row = static_cast<std::size_t>(std::lround(part * (rows - 1)));
    if (row < labels.size()) labels[row] = words.number(tick, ticks.decimals);
  }
  std::size_t widest = 0;
  for (const std::string& label : labels) widest = std::max(widest, cli::display_width(label));
  for (std::string& label : labels) label = to_the_right(label, widest);
  return labels;
}

void draw(DotGrid& grid, const PlotCurve& curve, const Range& range, double span_min) {
  const auto x_of = [&](double minute) {
    return static_cast<int>(std::lround((1.0 + minute / span_min) * (grid.width() - 1)));
  };
  const auto y_of = [&](double degC) {
    return static_cast<int>(std::lround((degC - range.low) / range.size() * (grid.height() - 1)));
  };
  for (const auto& part : curve.parts) {
    const PlotCurve::Point* before = nullptr;
    for (const auto& point : part) {
      if (point.minute < -span_min || !std::isfinite(point.degC)) continue;
      const auto& from = before != nullptr ? *before : point;
      grid.line(x_of(from.minute), y_of(from.degC), x_of(point.minute), y_of(point.degC),
                curve.every, curve.mark);
      before = &point;
    }
  }
}

/// "-15 ... min before now ... 0" below the plot.
std::string time_axis(double span_min, std::size_t indent, std::size_t columns,
                      const Words& words) {
  const std::string from = words.number(-span_min, 0), name = words.text("watch.axis");
  const std::size_t used = cli::display_width(from) + cli::display_width(name) + 1;
  if (used + 4 > columns) return std::string(indent, ' ') + from;
  const std::size_t room = columns - used, left = room / 2;
  return std::string(indent, ' ') + from + std::string(left, ' ') + name +
         std::string(room - left, ' ') + "0";
}

}  // namespace

std::vector<std::string> plot(const std::vector<PlotCurve>& curves, double span_min, int columns,
                              int rows, const Words& words) {
  const auto range = range_of(curves, span_min);
  if (!range || rows < fewest_plot_rows) return {};
  const int plot_rows = rows - 1;
  std::vector<std::string> lines = labels_of(*range, plot_rows, words);
  const int label_columns = static_cast<int>(cli::display_width(lines.front())) + 1;
  const int plot_columns = columns - label_columns - 1;
  constexpr int fewest_columns = 10;
  if (plot_columns < fewest_columns) return {};
  DotGrid grid(plot_columns, plot_rows, words.charset());
  for (const PlotCurve& curve : curves) draw(grid, curve, *range, span_min);
  const auto drawn = grid.text();
  const bool utf8 = words.charset() == Charset::utf8;
  const std::string bar = utf8 ? utf8_of(0x2502) : "|", tick = utf8 ? utf8_of(0x2524) : "+";
  for (std::size_t row = 0; row < drawn.size(); ++row) {
    const bool has_label = lines[row].find_first_not_of(' ') != std::string::npos;
    lines[row] += " " + (has_label ? tick : bar) + drawn[row];
  }
  lines.push_back(time_axis(span_min, static_cast<std::size_t>(label_columns + 1),
                            static_cast<std::size_t>(plot_columns), words));
  return lines;
}

}  // namespace nestcup::watch
