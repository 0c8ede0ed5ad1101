// The page of one run, as it stands in a notebook.
#pragma once

#include "core/report/pages/report.hpp"

namespace nestcup {

/// What was found, the chart as its one figure (where the run has one), readings at even times,
/// findings, history, and room for notes. Numbers have the digits that their uncertainties bear.
[[nodiscard]] Document run_page(const ReportRun& run, Language language);

}  // namespace nestcup
