// The chart of a cycle: levels of enthalpy, the steps that lead from one to the next, and beside
// them the reaction that they add up to.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "core/base/uncertain.hpp"
#include "core/report/drawing/chart_page.hpp"

namespace nestcup {

/// One step of the cycle: a reaction, taken `multiplier` times.
struct CycleStep {
  std::string label;              ///< its equation: "MgO(s) + 2 H+(aq) -> Mg+2(aq) + H2O(l)"
  double kJ_per_mol = 0.0;        ///< enthalpy of the equation as written
  double u = 0.0;                 ///< its standard uncertainty, kJ/mol; 0: not known
  bool measured = true;           ///< else an accepted value
  double multiplier = 1.0;        ///< below 0: taken backwards
  std::string multiplier_text{};  ///< "-1/2"; empty: made from the number

  [[nodiscard]] double contribution_kJ_per_mol() const { return multiplier * kJ_per_mol; }
};

/// The reaction that the steps add up to.
struct CycleTarget {
  std::string label;
  double kJ_per_mol = 0.0;  ///< as the cycle gives it
  double u = 0.0;
};

/// So many steps have room.
inline constexpr std::size_t most_cycle_steps = 12;

struct CycleChart {
  std::string title;
  std::vector<std::string> subtitles;
  std::vector<CycleStep> steps;     ///< in the order in which they are taken; at least one
  std::vector<std::string> levels;  ///< what stands before the first step and behind each, as
                                    ///< formulas ("MgO(s) + 2 H+(aq)"); empty: nothing is named
  CycleTarget target;
  std::optional<Uncertain> accepted;  ///< of the target, kJ/mol
  Language language = Language::english;
};

/// The page with the chart; chart_page.hpp makes documents, images and files of it.
/// @errors bad_data (no steps or too many, levels that do not go with them, a number that is not
/// finite, a negative u)
[[nodiscard]] Result<ChartPage> chart_page(const CycleChart& chart);

}  // namespace nestcup
