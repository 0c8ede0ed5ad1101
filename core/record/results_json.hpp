// Results of a sheet as JSON.
#pragma once

#include "core/chemistry/results.hpp"
#include "core/record/run_record.hpp"

namespace nestcup {

/// One object: "calorimeter_constant_J_per_K", "trials", "cycle", "conventions", "findings". A
/// measured quantity is {"value", "u", "dof"}; what is not known is null.
[[nodiscard]] Json results_json(const Results& results);

}  // namespace nestcup
