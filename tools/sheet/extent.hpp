// How much of its equation a planned trial carries out, where the sheet alone tells it.
#pragma once

#include <optional>
#include <string>

#include "core/sheet/sheet.hpp"

namespace nestcup {

/// What runs out first, and the extent of the equation as written.
struct PlannedExtent {
  std::string limiting;  ///< canonical formula
  double mol = 0.0;      ///< > 0
};

/// From the amounts of the sheet as core/chemistry counts them, volumes at 20 degC.
/// @return nothing for a trial without equation
[[nodiscard]] std::optional<PlannedExtent> planned_extent(const Sheet& sheet,
                                                          const SheetTrial& trial);

}  // namespace nestcup
