#include "core/report/charts/budget_chart.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/report/drawing/axis.hpp"
#include "core/report/drawing/heading.hpp"

namespace nestcup {

namespace {

constexpr TextStyle label_style{10.5, palette::ink};
constexpr TextStyle total_style{10.5, palette::ink, true};
constexpr TextStyle column_style{10.0, palette::quiet_ink};

constexpr double left = page_margin;
constexpr double right = page_width - page_margin;
constexpr double most_label_width = 270.0;
constexpr std::size_t most_label_lines = 4;
constexpr double column_gap = 14.0;
constexpr double least_row_height = 20.0;
constexpr double row_gap = 5.0;
constexpr double bar_height = 11.0;
constexpr double least_bar = 0.8;  // of a source that is there, pt
constexpr double column_row = 20.0;
constexpr double rule_gap = 5.0;

/// One row as it is printed.
struct Row {
  TextBlock label;
  double part = 0.0;  ///< u over the largest u of all rows
  std::string u;
  std::string share;
  [[nodiscard]] double height() const {
    return std::max(least_row_height, label.height() + row_gap);
  }
};

struct Layout {
  ChartHeading head;
  std::string u_column, share_column;
  std::vector<Row> rows;  ///< the total last
  double bar_left = 0.0, bar_right = 0.0, u_right = 0.0;
  double height = 0.0;
};

Result<void> check(const BudgetChart& chart) {
  if (chart.bars.empty()) {
    return Error{Fault::bad_data, "budget chart: no sources, at least one is needed"};
  }
  for (const BudgetBar& bar : chart.bars) {
    if (!(bar.u >= 0.0 && std::isfinite(bar.u))) {
      return Error{Fault::bad_data,
                   fmt::format("budget chart: u of \"{}\" is negative or not finite", bar.label)};
    }
  }
  if (!(chart.total_u > 0.0 && std::isfinite(chart.total_u))) {
    return Error{Fault::bad_data, "budget chart: the total is not a finite number above zero"};
  }
  return {};
}

/// The largest first; those that have no room are put together by the root of their squares.
std::vector<BudgetBar> sorted_bars(const BudgetChart& chart) {
  std::vector<BudgetBar> bars = chart.bars;
  std::stable_sort(bars.begin(), bars.end(),
                   [](const BudgetBar& a, const BudgetBar& b) { return a.u > b.u; });
  if (bars.size() <= most_budget_bars) return bars;
  const std::size_t rest = bars.size() - most_budget_bars + 1;
  double u = 0.0;
  for (std::size_t i = most_budget_bars - 1; i < bars.size(); ++i) u = std::hypot(u, bars[i].u);
  bars.resize(most_budget_bars - 1);
  bars.push_back(
      {Texts(chart.language).fill("budget_chart.rest", {{"count", std::to_string(rest)}}), u});
  return bars;
}

/// The unit in which numbers are short.
struct ShownUnit {
  double size = 1.0;  ///< in the chart's unit
  std::string divisor;
};

ShownUnit shown_unit(const BudgetChart& chart) {
  if (chart.unit == "K" && chart.total_u < 1.0 && chart.total_u >= 1e-6) return {1e-3, "mK"};
  const int exponent = display_exponent(chart.total_u);
  return {std::pow(10.0, exponent), unit_divisor(chart.unit, exponent)};
}

/// All numbers of the column have the decimals that leave the total three significant digits.
std::string u_text(double u, double total_u) {
  const int decimals = std::clamp(2 - static_cast<int>(std::floor(std::log10(total_u))), 0, 5);
  const double least = 0.5 * std::pow(10.0, -decimals);
  if (u > 0.0 && u < least) return fmt::format("< {:.{}f}", 2.0 * least, decimals);
  return fmt::format("{:.{}f}", u, decimals);
}

std::string share_text(double part_of_total) {
  const double percent = 100.0 * part_of_total * part_of_total;
  if (percent > 0.0 && percent < 0.5) return "< 1 %";
  return fmt::format("{:.0f} %", percent);
}

void add_rows(Layout& layout, Canvas& canvas, const BudgetChart& chart) {
  const Texts texts(chart.language);
  const ShownUnit unit = shown_unit(chart);
  layout.u_column = unit.divisor.empty() ? "u" : fmt::format("u / {}", unit.divisor);
  layout.share_column = texts["budget_chart.share"];
  const std::vector<BudgetBar> bars = sorted_bars(chart);
  const double largest = std::max(chart.total_u, bars.front().u);
  const auto add = [&](const std::string& label, double u, const TextStyle& style) {
    layout.rows.push_back({fitted(canvas, label, style, most_label_width, most_label_lines),
                           u / largest,
                           texts.number(u_text(u / unit.size, chart.total_u / unit.size)),
                           share_text(u / chart.total_u)});
  };
  for (const BudgetBar& bar : bars) add(bar.label, bar.u, label_style);
  add(texts["budget_chart.total"], chart.total_u, total_style);
}

void place_columns(Layout& layout, Canvas& canvas) {
  double labels = 0.0;
  double u_width = canvas.text_width(layout.u_column, column_style);
  double share_width = canvas.text_width(layout.share_column, column_style);
  for (const Row& row : layout.rows) {
    labels = std::max(labels, row.label.width);
    u_width = std::max(u_width, canvas.text_width(row.u, total_style));
    share_width = std::max(share_width, canvas.text_width(row.share, total_style));
  }
  layout.u_right = right - share_width - column_gap;
  layout.bar_left = left + labels + column_gap;
  layout.bar_right = layout.u_right - u_width - column_gap;
}

Layout laid_out(const BudgetChart& chart) {
  ScratchCanvas scratch;
  Layout layout;
  layout.head = heading(scratch.canvas(), chart.title, chart.subtitles, left);
  add_rows(layout, scratch.canvas(), chart);
  place_columns(layout, scratch.canvas());
  layout.height = layout.head.bottom + column_row + 2.0 * rule_gap + page_margin;
  for (const Row& row : layout.rows) layout.height += row.height();
  return layout;
}

void draw_row(Canvas& canvas, const Layout& layout, const Row& row, double top, bool is_total) {
  const double middle = top + 0.5 * row.height();
  const TextStyle& style = is_total ? total_style : label_style;
  draw_block(canvas, row.label, {left, middle - 0.5 * row.label.height()}, Across::left);
  const double length = (layout.bar_right - layout.bar_left) * row.part;
  if (row.part > 0.0) {
    canvas.fill(
        {layout.bar_left, middle - 0.5 * bar_height, std::max(length, least_bar), bar_height},
        is_total ? palette::ink : palette::cup);
  }
  canvas.text({layout.u_right, middle}, row.u, style, Across::right);
  canvas.text({right, middle}, row.share, style, Across::right);
}

void draw(Canvas& canvas, const Layout& layout, const Texts& texts) {
  layout.head.draw(canvas);
  double y = layout.head.bottom + 0.5 * column_row;
  canvas.text({left, y}, texts["budget_chart.source"], column_style, Across::left);
  canvas.text({layout.u_right, y}, layout.u_column, column_style, Across::right);
  canvas.text({right, y}, layout.share_column, column_style, Across::right);
  y += 0.5 * column_row;
  canvas.line({left, y}, {right, y}, strokes::rule);
  const double first_top = y;
  for (std::size_t i = 0; i < layout.rows.size(); ++i) {
    const bool is_total = i + 1 == layout.rows.size();
    if (is_total) {
      canvas.line({left, y + rule_gap}, {right, y + rule_gap}, strokes::rule);
      y += 2.0 * rule_gap;
    }
    draw_row(canvas, layout, layout.rows[i], y, is_total);
    y += layout.rows[i].height();
  }
  canvas.line({layout.bar_left, first_top}, {layout.bar_left, y}, strokes::frame);
}

std::string description_of(const BudgetChart& chart, const Layout& layout) {
  const Texts texts(chart.language);
  const BudgetBar largest = sorted_bars(chart).front();
  return texts.fill("budget_chart.description", {{"count", std::to_string(chart.bars.size())},
                                                 {"u", layout.rows.back().u},
                                                 {"column", layout.u_column},
                                                 {"source", largest.label},
                                                 {"share", share_text(largest.u / chart.total_u)}});
}

}  // namespace

Result<ChartPage> chart_page(const BudgetChart& chart) {
  if (auto checked = check(chart); !checked) return checked.error();
  const Layout layout = laid_out(chart);
  return ChartPage{
      layout.height, chart.title, description_of(chart, layout), chart.language,
      [layout, texts = Texts(chart.language)](Canvas& canvas) { draw(canvas, layout, texts); }};
}

}  // namespace nestcup
