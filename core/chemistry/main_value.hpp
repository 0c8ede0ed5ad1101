// The one value that a trial is for.
#pragma once

#include <optional>

#include "core/chemistry/results.hpp"

namespace nestcup {

/// Constant, heat capacity, heat of fusion, or enthalpy (that of 25 degC where it is known), in the
/// unit of the trial's result; nothing where no run gave one.
[[nodiscard]] const std::optional<Measured>& main_value(const TrialResult& trial);

}  // namespace nestcup
