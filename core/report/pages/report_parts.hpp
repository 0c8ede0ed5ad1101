// The parts of a report, in their order; each adds its blocks.
#pragma once

#include <string>
#include <utility>

#include "core/report/drawing/chart_page.hpp"
#include "core/report/pages/report.hpp"
#include "core/working/working.hpp"

namespace nestcup {

/// What all parts are written with.
struct ReportWork {
  const ReportInput& input;
  const ReportOptions& options;
  const Working& working;
  Texts texts;
  Document& document;
};

void add_head(const ReportWork& work);      ///< facts, cautions, trials, stocks and instruments
void add_readings(const ReportWork& work);  ///< raw and timed readings
void add_rises(const ReportWork& work);     ///< corrected rises, budgets, by hand, charts, findings
void add_working(const ReportWork& work);   ///< every step from rises to results
void add_comparison_steps(const ReportWork& work);  ///< how results are held against others
void add_results(const ReportWork& work);           ///< constant, enthalpies, uncertainties, cycle
void add_cycle_charts(const ReportWork& work);      ///< levels of enthalpy, and the cycle's budget
void add_assumptions(const ReportWork& work);       ///< what was taken where nothing was said
void add_history(const ReportWork& work);           ///< what was struck out and restored, and why

/// A chart as a figure; one that cannot be drawn (too few readings) is left out.
template <class Chart>
void add_figure(const ReportWork& work, const Chart& chart, const std::string& caption) {
  const auto page = chart_page(chart);
  if (!page) return;
  auto svg = page_svg(*page);
  if (svg) work.document.add(Figure{caption, page->description, std::move(*svg)});
}

/// Value and u with the digits that u bears, each on its own.
[[nodiscard]] std::pair<std::string, std::string> value_and_u(const Measured& value,
                                                              const Texts& texts);
[[nodiscard]] std::pair<std::string, std::string> value_and_u(const Json& quantity,
                                                              const Texts& texts);

/// "oxide 2", or the run's name where it belongs to no trial.
[[nodiscard]] std::string run_title(const ReportRun& run);

/// The same, and whether it is struck out.
[[nodiscard]] std::string run_name(const ReportRun& run, const ReportWork& work);

[[nodiscard]] bool is_struck(const ReportRun& run);
/// Whether it has a corrected rise.
[[nodiscard]] bool has_rise(const ReportRun& run);

/// A word or a sentence of a record as the name of its text in the catalogue: "time of mixing" is
/// "time_of_mixing".
[[nodiscard]] std::string text_name(std::string_view words);

/// A cell of what follows from the rises: free where the report leaves that to the reader.
[[nodiscard]] Cell result_cell(const std::string& text, const ReportWork& work);

}  // namespace nestcup
