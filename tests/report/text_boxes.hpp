// Where a chart's texts lie on its page.
#pragma once

#include <string>
#include <vector>

#include "core/report/drawing/chart_page.hpp"

namespace nestcup {

/// All texts of a page as they are drawn.
[[nodiscard]] std::vector<TextBox> text_boxes(const ChartPage& page);

/// What is wrong with the texts' places: one that runs off the page, or two that overlap; empty
/// where all is well.
[[nodiscard]] std::string layout_fault(const ChartPage& page);

/// The same of a chart; what its `chart_page` refuses is a fault, too.
template <class Chart>
[[nodiscard]] std::string layout_fault_of(const Chart& chart) {
  const Result<ChartPage> page = chart_page(chart);
  return page ? layout_fault(*page) : "refused: " + page.error().text;
}

}  // namespace nestcup
