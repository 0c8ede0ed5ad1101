// The demo's page: the report of the day, with the simulation's truth beside it.
#pragma once

#include <string>

#include "core/report/pages/report.hpp"
#include "tools/demo/outcome.hpp"
#include "tools/demo/worked.hpp"

namespace nestcup::demo {

/// A whole HTML document; needs no script and nothing from elsewhere.
[[nodiscard]] std::string day_page(const Day& day, const Worked& worked,
                                   std::vector<ReportRun> runs);

}  // namespace nestcup::demo
