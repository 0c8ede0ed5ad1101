// A run noted on paper.
#pragma once

#include <string>

#include "core/chemistry/run_facts.hpp"
#include "core/sheet/sheet.hpp"

namespace nestcup {

/// The temperature carried back to the mixing from readings by hand: the least-squares line through
/// those from the one farthest off the cup's temperature on (common practice). Its u is that of the
/// line's value there, from the scatter about it (n - 2 degrees of freedom) or from u_degC,
/// whichever is larger. With one reading left, that reading.
/// @param typed  with at least one reading
[[nodiscard]] Uncertain carried_back_degC(const TypedTrial& typed);

/// @param number  1, 2, 3 ... among the trial's typed runs
[[nodiscard]] RunFacts typed_run(const SheetTrial& trial, const TypedTrial& typed, int number);

}  // namespace nestcup
