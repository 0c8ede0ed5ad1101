#include "daemon/api/report_shelf.hpp"

#include <fmt/format.h>

#include "core/notebook/report_runs.hpp"
#include "core/report/document/html_page.hpp"

namespace nestcup::daemon {
namespace {

/// What a report follows from: the sheet, and every run as it is now.
Result<std::string> ingredients(const RunBook& book, const Sheet& sheet) {
  std::string all = sheet.sha256;
  const auto read = book.each_run([&](const StoredRun& run) -> Result<void> {
    all += fmt::format(" {}:{}", run.id, run.revision);
    return {};
  });
  if (!read) return read.error();
  return all;
}

}  // namespace

Result<std::string> ReportShelf::page(const RunBook& book, const Sheet& sheet,
                                      const ReportOptions& options,
                                      const std::function<Result<void>()>& goes_on) {
  const auto made_of = ingredients(book, sheet);
  if (!made_of) return made_of.error();
  Page& kept =
      pages_[fmt::format("{} {}", static_cast<int>(options.language), options.without_results)];
  if (kept.made_of == *made_of) return kept.html;
  auto runs =
      report_runs(book, sheet, options.language, [&](int, std::size_t) { return goes_on(); });
  if (!runs) return runs.error();
  const auto made = made_report(sheet, std::move(*runs), options);
  if (!made) return made.error();
  kept = {*made_of, html_page(*made)};
  return kept.html;
}

}  // namespace nestcup::daemon
