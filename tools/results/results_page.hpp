// Results of a sheet, for people.
#pragma once

#include <string>

#include "core/chemistry/results.hpp"
#include "core/sheet/sheet.hpp"

namespace nestcup {

/// Constant, trials, cycle and what is to be said about them, a line each. Every u is a standard
/// uncertainty.
[[nodiscard]] std::string results_page(const Sheet& sheet, const Results& results, bool colour);

}  // namespace nestcup
