#include "core/report/charts/cycle_layout.hpp"

namespace nestcup {

namespace {

constexpr double sample_length = 20.0;
constexpr double sample_gap = 6.0;

/// @return where the rows begin
double draw_head(Canvas& canvas, const CycleLayout& layout, const Texts& texts, double top) {
  const double y = top + 0.5 * cycle_column_row;
  const CycleColumns& columns = layout.columns;
  canvas.text({columns.number, y}, texts["cycle_chart.number"], cycle_column_style, Across::left);
  canvas.text({columns.words, y}, texts["cycle_chart.reaction"], cycle_column_style, Across::left);
  canvas.text({columns.times, y}, texts["cycle_chart.times"], cycle_column_style, Across::right);
  canvas.text({columns.value, y}, texts["cycle_chart.enthalpy_of"], cycle_column_style,
              Across::right);
  const double bottom = top + cycle_column_row;
  canvas.line({columns.number, bottom - 1.0}, {page_width - page_margin, bottom - 1.0},
              strokes::rule);
  return bottom;
}

void draw_row(Canvas& canvas, const CycleLayout& layout, const CycleRow& row, double top) {
  const CycleColumns& columns = layout.columns;
  draw_block(canvas, row.words, {columns.words, top + 2.5}, Across::left);
  const double y = top + 2.5 + 0.5 * row.words.line_height();
  canvas.text({columns.number, y}, row.number, cycle_row_style, Across::left);
  if (row.is_level) return;
  canvas.text({columns.times, y}, row.times, cycle_row_style, Across::right);
  canvas.text({columns.value, y}, row.value, cycle_row_style, Across::right);
  canvas.text({columns.origin, y}, row.origin, cycle_row_style, Across::left);
  const double right = columns.origin - sample_gap;
  canvas.line({right - sample_length, y}, {right, y},
              row.measured ? measured_arrow : accepted_arrow);
}

}  // namespace

void draw_cycle_table(Canvas& canvas, const CycleLayout& layout, const Texts& texts) {
  double y = draw_head(canvas, layout, texts, layout.table_top);
  bool among_levels = false;
  for (const CycleRow& row : layout.rows) {
    if (row.is_level && !among_levels) {
      among_levels = true;
      canvas.text({layout.columns.number, y + 0.5 * cycle_column_row}, texts["cycle_chart.level"],
                  cycle_column_style, Across::left);
      y += cycle_column_row;
      canvas.line({layout.columns.number, y - 1.0}, {page_width - page_margin, y - 1.0},
                  strokes::rule);
    }
    draw_row(canvas, layout, row, y);
    y += row.height();
  }
}

}  // namespace nestcup
