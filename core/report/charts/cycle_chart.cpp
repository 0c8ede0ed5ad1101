#include "core/report/charts/cycle_chart.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/base/uncertain_text.hpp"
#include "core/report/charts/cycle_layout.hpp"

namespace nestcup {

namespace {

constexpr double largest_kJ_per_mol = 1e9;
constexpr int most_ticks = 8;
constexpr double title_inset = 52.0;
constexpr Stroke level_stroke{palette::ink, 1.8};
constexpr Stroke target_arrow{palette::ink, 3.0};
constexpr Stroke accepted_level{palette::added, 1.6, 4.0, 2.5};
constexpr Stroke start_line{palette::frame, 0.7, 1.2, 2.4};
constexpr double stub = 12.0;  // of a level's line beyond the target's arrow

bool is_usable(double value) {
  return std::abs(value) <= largest_kJ_per_mol;
}

bool is_uncertainty(double u) {
  return is_usable(u) && u >= 0.0;
}

Result<void> check(const CycleChart& chart) {
  const std::size_t count = chart.steps.size();
  if (count == 0 || count > most_cycle_steps) {
    return Error{Fault::bad_data,
                 fmt::format("cycle chart: {} steps, 1 to {} have room", count, most_cycle_steps)};
  }
  if (!chart.levels.empty() && chart.levels.size() != count + 1) {
    return Error{Fault::bad_data, fmt::format("cycle chart: {} levels, {} steps have {}",
                                              chart.levels.size(), count, count + 1)};
  }
  for (const CycleStep& step : chart.steps) {
    if (is_usable(step.kJ_per_mol) && is_usable(step.contribution_kJ_per_mol()) &&
        is_uncertainty(step.u)) {
      continue;
    }
    return Error{Fault::bad_data,
                 fmt::format("cycle chart: a number of \"{}\" is not usable", step.label)};
  }
  const Uncertain accepted = chart.accepted.value_or(Uncertain{});
  if (!is_usable(chart.target.kJ_per_mol) || !is_uncertainty(chart.target.u) ||
      !is_usable(accepted.value) || !is_uncertainty(accepted.u)) {
    return Error{Fault::bad_data,
                 "cycle chart: a number of the target or its accepted value is not usable"};
  }
  return {};
}

/// The level's line with its words on one side and the next arrow's on the other.
void draw_slot(Canvas& canvas, const CycleSlot& slot, double y, double line_end) {
  canvas.line({slot.left, y}, {line_end, y}, level_stroke);
  const auto top_of = [&](const TextBlock& block, bool is_above) {
    return is_above ? y - off_level - block.height() : y + off_level;
  };
  draw_block(canvas, slot.level,
             {0.5 * (slot.left + slot.right), top_of(slot.level, !slot.leaves_upwards)},
             Across::centre);
  draw_block(canvas, slot.arrow, {slot.right - off_arrow, top_of(slot.arrow, slot.leaves_upwards)},
             Across::right);
}

void draw_steps(Canvas& canvas, const CycleChart& chart, const CycleLayout& layout) {
  const auto y_of = [&](std::size_t i) { return layout.enthalpy.at(layout.slots[i].kJ_per_mol); };
  const std::size_t last = layout.slots.size() - 1;
  for (std::size_t i = 0; i <= last; ++i) {
    const CycleSlot& slot = layout.slots[i];
    draw_slot(canvas, slot, y_of(i), i == last ? layout.target_x + stub : slot.right);
  }
  for (std::size_t i = 0; i < last; ++i) {
    canvas.arrow({layout.slots[i].right, y_of(i)}, y_of(i + 1),
                 chart.steps[i].measured ? measured_arrow : accepted_arrow);
  }
}

/// Equation and numbers end a paragraph, captions belong to what follows.
double gap_behind(const TextBlock& block) {
  constexpr double paragraph_gap = 5.0;
  return block.style.bold || block.style.formula ? paragraph_gap : 0.0;
}

void draw_target(Canvas& canvas, const CycleChart& chart, const CycleLayout& layout) {
  const double x = layout.target_x;
  const double start_y = layout.enthalpy.at(0.0);
  const double end_y = layout.enthalpy.at(chart.target.kJ_per_mol);
  canvas.line({x - stub, start_y}, {x + stub, start_y}, level_stroke);
  canvas.arrow({x, start_y}, end_y, target_arrow);
  if (chart.accepted) {
    const double y = layout.enthalpy.at(chart.accepted->value);
    canvas.line({x - stub, y}, {x + stub + 12.0, y}, accepted_level);
    canvas.mark({x + stub + 12.0, y}, Mark::diamond, 3.4, palette::added);
  }
  double height = 0.0;
  for (const TextBlock& block : layout.target) height += block.height() + gap_behind(block);
  const double wanted = 0.5 * (start_y + end_y) - 0.5 * height;
  double y = std::max(layout.plot.top, std::min(wanted, layout.plot.bottom() - height));
  for (const TextBlock& block : layout.target) {
    draw_block(canvas, block, {x + off_target, y}, Across::left);
    y += block.height() + gap_behind(block);
  }
}

void draw(Canvas& canvas, const CycleChart& chart, const CycleLayout& layout) {
  const Texts texts(chart.language);
  layout.head.draw(canvas);
  const PageBox to_target{layout.plot.left, layout.plot.top, layout.target_x - layout.plot.left,
                          layout.plot.height};
  const AxisTicks ticks = axis_ticks(layout.enthalpy.range, most_ticks, texts);
  draw_left_axis(canvas, to_target, layout.enthalpy, ticks,
                 axis_title(texts["cycle_chart.enthalpy"], "kJ/mol", ticks.exponent),
                 to_target.left - title_inset);
  const double start_y = layout.enthalpy.at(0.0);
  canvas.line({to_target.left, start_y}, {layout.target_x, start_y}, start_line);
  draw_steps(canvas, chart, layout);
  draw_target(canvas, chart, layout);
  draw_cycle_table(canvas, layout, texts);
}

std::string description_of(const CycleChart& chart) {
  const Texts texts(chart.language);
  const auto text = [&](const Uncertain& number) {
    return texts.number(uncertain_text(number, "kJ/mol"));
  };
  std::string words = texts.fill("cycle_chart.description",
                                 {{"count", std::to_string(chart.steps.size())},
                                  {"target", chart.target.label},
                                  {"sum", text({chart.target.kJ_per_mol, chart.target.u})}});
  if (chart.accepted) {
    words += " " + texts["cycle_chart.accepted"] + ": " + text(*chart.accepted) + ".";
  }
  return words;
}

}  // namespace

Result<ChartPage> chart_page(const CycleChart& chart) {
  if (auto checked = check(chart); !checked) return checked.error();
  const CycleLayout layout = laid_out(chart);
  return ChartPage{layout.height, chart.title, description_of(chart), chart.language,
                   [chart, layout](Canvas& canvas) { draw(canvas, chart, layout); }};
}

}  // namespace nestcup
