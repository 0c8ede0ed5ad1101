// Where everything of a cycle's chart lies.
//
// The steps' arrows stand side by side; between two of them lies the slot of the level that the one
// reaches and the other leaves. A slot has the level's words on one side of its line and the next
// arrow's on the other, so that nothing can overlap however near two levels are. The equations
// stand in the table below.
#pragma once

#include <string>
#include <vector>

#include "core/report/charts/cycle_chart.hpp"
#include "core/report/drawing/axis.hpp"
#include "core/report/drawing/heading.hpp"

namespace nestcup {

/// One level of enthalpy between two arrows.
struct CycleSlot {
  double kJ_per_mol = 0.0;  ///< above the start
  double left = 0.0;        ///< pt
  double right = 0.0;
  bool leaves_upwards = false;  ///< the arrow at its right end
  TextBlock level{};            ///< what stands there
  TextBlock arrow{};            ///< number and value of that arrow; none in the last slot
};

/// A row of the table.
struct CycleRow {
  bool is_level = false;  ///< a level that had no room in its slot: number and words alone
  bool measured = true;
  std::string number;
  TextBlock words{};
  std::string times;
  std::string value;
  std::string origin;
  [[nodiscard]] double height() const { return words.height() + 5.0; }
};

/// The columns of the table, pt.
struct CycleColumns {
  double number = 0.0, words = 0.0;               ///< left ends
  double times = 0.0, value = 0.0, origin = 0.0;  ///< right ends; of the origin: left
};

struct CycleLayout {
  ChartHeading head;
  PageBox plot;
  LinearScale enthalpy;
  std::vector<CycleSlot> slots;
  double target_x = 0.0;
  std::vector<TextBlock> target;  ///< beside its arrow, from above
  CycleColumns columns;
  std::vector<CycleRow> rows;
  double table_top = 0.0;
  double height = 0.0;
};

[[nodiscard]] CycleLayout laid_out(const CycleChart& chart);

inline constexpr TextStyle cycle_column_style{10.0, palette::quiet_ink};
inline constexpr TextStyle cycle_row_style{10.5, palette::ink};
inline constexpr TextStyle cycle_equation_style{10.5, palette::ink, false, true};
inline constexpr double cycle_column_row = 18.0;
/// Between a level's line and its words.
inline constexpr double off_level = 4.0;
/// Between an arrow and words beside it.
inline constexpr double off_arrow = 7.0;
/// Between the target's arrow and the words beside it.
inline constexpr double off_target = 36.0;

/// The table under the plot.
void draw_cycle_table(Canvas& canvas, const CycleLayout& layout, const Texts& texts);

/// The steps' arrow: whole where measured, dashed where accepted.
inline constexpr Stroke measured_arrow{palette::cup, 1.8};
inline constexpr Stroke accepted_arrow{palette::added, 1.6, 4.0, 2.5};

}  // namespace nestcup
