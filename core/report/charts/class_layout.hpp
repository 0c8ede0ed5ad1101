// Where everything of a class's chart lies.
#pragma once

#include <string>
#include <vector>

#include "core/report/charts/class_chart.hpp"
#include "core/report/drawing/axis.hpp"
#include "core/report/drawing/heading.hpp"
#include "core/report/drawing/key.hpp"

namespace nestcup {

/// One bench on the page.
struct ClassRow {
  ClassChartBench bench;
  double y = 0.0;         ///< of its mark
  bool is_named = false;  ///< name and value are printed
  double label_y = 0.0;   ///< of name and value
  TextBlock name{};
  std::string value_text{};  ///< without unit, in the axis' power of ten
};

struct ClassLayout {
  ChartHeading head;
  std::vector<KeyEntry> key;
  PagePoint key_corner;
  double key_width = 0.0;
  double columns_y = 0.0;  ///< of the columns' names; only where every bench is named
  PageBox plot;
  LinearScale values;
  AxisTicks ticks;
  std::vector<ClassRow> rows;
  bool all_named = true;
  double mark_radius = 0.0;
  std::string more;  ///< how many outlying benches are not named; empty: none
  double height = 0.0;
};

/// Of many benches: between the names and the plot.
inline constexpr double leader_room = 46.0;

/// Text of a number and its u as the chart prints it, without unit.
[[nodiscard]] std::string class_number(const Uncertain& number, int exponent, const Texts& texts);

[[nodiscard]] ClassLayout laid_out(const ClassChart& chart);

}  // namespace nestcup
