// The report of the bench's runs, kept until something that stands in it changes: to make it takes
// a while for every run, and whoever lost patience finds it ready the next time.
#pragma once

#include <functional>
#include <map>
#include <string>

#include "core/report/pages/report.hpp"
#include "core/sheet/sheet.hpp"
#include "core/store/run_book.hpp"

namespace nestcup::daemon {

/// Used by one thread at a time.
class ReportShelf {
 public:
  /// The page, made where the one at hand is of other runs or of another sheet.
  /// @param goes_on  asked before each run; an error of it ends the work
  /// @errors as report_runs and made_report
  [[nodiscard]] Result<std::string> page(const RunBook& book, const Sheet& sheet,
                                         const ReportOptions& options,
                                         const std::function<Result<void>()>& goes_on);

 private:
  struct Page {
    std::string made_of;
    std::string html;
  };
  std::map<std::string, Page> pages_;  ///< by language and what is left out
};

}  // namespace nestcup::daemon
