#include "core/report/charts/cycle_layout.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/base/uncertain_text.hpp"

namespace nestcup {

namespace {

constexpr double plot_left = 74.0;
constexpr double plot_height = 330.0;
constexpr double plot_gap = 12.0;
constexpr double target_room = 160.0;  // right of the target's arrow
constexpr double least_slot = 62.0;    // a narrower one has a level's number for its words
constexpr std::size_t most_level_lines = 5;
constexpr double edge_room = 8.0;
constexpr double table_gap = 18.0;

constexpr TextStyle level_style{10.5, palette::ink, false, true};
constexpr TextStyle arrow_style{10.0, palette::quiet_ink};
constexpr TextStyle target_style{11.0, palette::ink, true};

const char* const plus_minus = "\xC2\xB1";

std::string signed_text(double value, double u, const Texts& texts) {
  if (u == 0.0) return texts.number(fmt::format("{:.6g}", value));
  std::string text = texts.number(uncertain_text({value, u}, ""));
  const std::size_t sign = text.find(plus_minus);
  // A line may end before the sign, not behind it.
  if (sign != std::string::npos) text.replace(sign + 2, 1, "\xC2\xA0");
  return text;
}

/// A number in one line, smaller where needed; else in as many as it takes.
TextBlock number_block(Canvas& canvas, const std::string& number, TextStyle style, double width) {
  constexpr double smallest = 0.85;
  const double share = width / canvas.text_width(number, style);
  if (share < 1.0) style.size *= std::max(share, smallest);
  return wrapped(canvas, number, style, width);
}

std::string times_text(const CycleStep& step, const Texts& texts) {
  const std::string text =
      step.multiplier_text.empty() ? fmt::format("{:.4g}", step.multiplier) : step.multiplier_text;
  return "\xC3\x97 " + texts.number(text);
}

/// Two columns of words cannot stand in a slot, so the value goes under the step's number.
TextBlock arrow_words(Canvas& canvas, const CycleChart& chart, std::size_t i, double width) {
  const Texts texts(chart.language);
  const CycleStep& step = chart.steps[i];
  const double u = std::abs(step.multiplier) * step.u;
  const std::string number = std::to_string(i + 1);
  if (width < least_slot) return fitted(canvas, number, arrow_style, width, 1);
  TextBlock block =
      fitted(canvas, texts.fill("cycle_chart.step", {{"number", number}}), arrow_style, width, 1);
  const TextBlock value = number_block(
      canvas, signed_text(step.contribution_kJ_per_mol(), u, texts), arrow_style, width);
  block.lines.insert(block.lines.end(), value.lines.begin(), value.lines.end());
  block.width = std::max(block.width, value.width);
  block.style.size = std::min(block.style.size, value.style.size);
  return block;
}

void make_slots(CycleLayout& layout, Canvas& canvas, const CycleChart& chart) {
  const auto count = static_cast<double>(chart.steps.size() + 1);
  const double width = (layout.target_x - layout.plot.left) / count;
  const double free = width - 2.0 * off_arrow;
  bool has_room = free >= least_slot;
  double level_kJ_per_mol = 0.0;
  for (std::size_t i = 0; i <= chart.steps.size(); ++i) {
    const double left = layout.plot.left + static_cast<double>(i) * width;
    CycleSlot slot{level_kJ_per_mol, left, left + width};
    if (i < chart.steps.size()) {
      const double step = chart.steps[i].contribution_kJ_per_mol();
      slot.leaves_upwards = step > 0.0;
      slot.arrow = arrow_words(canvas, chart, i, free);
      level_kJ_per_mol += step;
    }
    if (!chart.levels.empty()) {
      slot.level = wrapped(canvas, chart.levels[i], level_style, free);
      has_room = has_room && slot.level.lines.size() <= most_level_lines &&
                 !breaks_words(canvas, chart.levels[i], level_style, free);
    }
    layout.slots.push_back(std::move(slot));
  }
  if (has_room || chart.levels.empty()) return;
  for (std::size_t i = 0; i < layout.slots.size(); ++i) {
    layout.slots[i].level =
        wrapped(canvas, std::string(1, static_cast<char>('A' + i)), target_style, free);
  }
}

/// Whether the levels' words had to go to the table.
bool levels_in_table(const CycleLayout& layout) {
  return !layout.slots.empty() && layout.slots.front().level.style.bold;
}

void make_target(CycleLayout& layout, Canvas& canvas, const CycleChart& chart) {
  const Texts texts(chart.language);
  const double width = target_room - off_target - page_margin;
  const auto add = [&](const char* key, const Uncertain& number) {
    layout.target.push_back(wrapped(canvas, texts[key], arrow_style, width));
    layout.target.push_back(
        number_block(canvas, signed_text(number.value, number.u, texts), target_style, width));
  };
  layout.target.push_back(fitted(canvas, chart.target.label, level_style, width, 10));
  add("cycle_chart.sum", {chart.target.kJ_per_mol, chart.target.u});
  if (chart.accepted) add("cycle_chart.accepted", *chart.accepted);
}

/// Room that words need above and below the levels, so that none leaves the plot.
void make_scale(CycleLayout& layout, const CycleChart& chart) {
  Range range{0.0, 0.0};
  double above = 0.0, below = 0.0;
  for (const CycleSlot& slot : layout.slots) {
    range.hold(slot.kJ_per_mol);
    const double level = slot.level.height(), arrow = slot.arrow.height();
    above = std::max(above, slot.leaves_upwards ? arrow : level);
    below = std::max(below, slot.leaves_upwards ? level : arrow);
  }
  range.hold(chart.target.kJ_per_mol);
  if (chart.accepted) range.hold(chart.accepted->value);
  if (range.size() == 0.0) range.high = 1.0;
  above += off_level + edge_room;
  below += off_level + edge_room;
  const double free = layout.plot.height - above - below;
  const double kJ_per_pt = range.size() / free;
  layout.enthalpy = {{range.low - below * kJ_per_pt, range.high + above * kJ_per_pt},
                     layout.plot.bottom(),
                     layout.plot.top};
}

void make_rows(CycleLayout& layout, Canvas& canvas, const CycleChart& chart) {
  const Texts texts(chart.language);
  double number = canvas.text_width(texts["cycle_chart.number"], cycle_column_style);
  double times = canvas.text_width(texts["cycle_chart.times"], cycle_column_style);
  double value = canvas.text_width(texts["cycle_chart.enthalpy_of"], cycle_column_style);
  double origin = 0.0;
  for (std::size_t i = 0; i < chart.steps.size(); ++i) {
    const CycleStep& step = chart.steps[i];
    CycleRow row{false,
                 step.measured,
                 std::to_string(i + 1),
                 {},
                 times_text(step, texts),
                 signed_text(step.kJ_per_mol, step.u, texts),
                 texts[step.measured ? "cycle_chart.measured" : "cycle_chart.from_table"]};
    times = std::max(times, canvas.text_width(row.times, cycle_row_style));
    value = std::max(value, canvas.text_width(row.value, cycle_row_style));
    origin = std::max(origin, canvas.text_width(row.origin, cycle_row_style));
    layout.rows.push_back(std::move(row));
  }
  constexpr double gap = 12.0, sample = 26.0;
  const double right = page_width - page_margin;
  layout.columns = {page_margin, page_margin + number + gap, 0.0, 0.0, right - origin};
  layout.columns.value = layout.columns.origin - sample - gap;
  layout.columns.times = layout.columns.value - value - gap;
  const double width = layout.columns.times - times - gap - layout.columns.words;
  for (std::size_t i = 0; i < chart.steps.size(); ++i) {
    layout.rows[i].words = wrapped(canvas, chart.steps[i].label, cycle_equation_style, width);
  }
  if (!levels_in_table(layout)) return;
  for (std::size_t i = 0; i < chart.levels.size(); ++i) {
    CycleRow row{true, true, layout.slots[i].level.lines.front(), {}, "", "", ""};
    row.words =
        wrapped(canvas, chart.levels[i], cycle_equation_style, right - layout.columns.words);
    layout.rows.push_back(std::move(row));
  }
}

}  // namespace

CycleLayout laid_out(const CycleChart& chart) {
  ScratchCanvas scratch;
  Canvas& canvas = scratch.canvas();
  CycleLayout layout;
  layout.head = heading(canvas, chart.title, chart.subtitles, page_margin);
  layout.plot = {plot_left, layout.head.bottom + plot_gap, page_width - page_margin - plot_left,
                 plot_height};
  layout.target_x = page_width - target_room;
  make_slots(layout, canvas, chart);
  make_target(layout, canvas, chart);
  // Words that need much room make the plot higher, not the levels flatter.
  double tallest = 0.0;
  for (const CycleSlot& slot : layout.slots) {
    tallest = std::max({tallest, slot.level.height(), slot.arrow.height()});
  }
  layout.plot.height += tallest;
  make_scale(layout, chart);
  make_rows(layout, canvas, chart);
  layout.table_top = layout.plot.bottom() + table_gap;
  layout.height = layout.table_top + cycle_column_row + page_margin;
  for (const CycleRow& row : layout.rows) layout.height += row.height();
  if (levels_in_table(layout)) layout.height += cycle_column_row;
  return layout;
}

}  // namespace nestcup
