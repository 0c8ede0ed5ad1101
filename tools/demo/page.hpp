// The demo's page: tables and a chart of each run.
#pragma once

#include <string>
#include <vector>

#include "tools/demo/outcome.hpp"
#include "tools/demo/worked.hpp"

namespace nestcup::demo {

struct Figure {
  Outcome outcome;
  std::string path;  ///< of the chart, relative to the page
};

/// A whole HTML document; needs no script and nothing from elsewhere.
[[nodiscard]] std::string day_page(const Day& day, const Worked& worked,
                                   const std::vector<Figure>& figures);

}  // namespace nestcup::demo
