// The chart of an uncertainty budget: what each source brings to u, the largest first.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "core/report/drawing/chart_page.hpp"

namespace nestcup {

/// One source of uncertainty.
struct BudgetBar {
  std::string label;
  double u = 0.0;  ///< standard uncertainty that it brings, in the chart's unit, >= 0
};

/// So many sources stand alone; smaller ones are put together.
inline constexpr std::size_t most_budget_bars = 20;

/// The budget of a rise (unit "K", shown in mK below 1 K) or of a result ("kJ/mol", "J/K").
/// Shares of the variance are (u / total_u)^2 (JCGM 100:2008, 5.1.2).
struct BudgetChart {
  std::string title;
  std::vector<std::string> subtitles;
  std::string unit;
  std::vector<BudgetBar> bars;  ///< in any order; at least one
  double total_u = 0.0;         ///< combined standard uncertainty, > 0
  Language language = Language::english;
};

/// The page with the chart; chart_page.hpp makes documents, images and files of it.
/// @errors bad_data (no bars, a u that is negative or not finite, no total)
[[nodiscard]] Result<ChartPage> chart_page(const BudgetChart& chart);

}  // namespace nestcup
