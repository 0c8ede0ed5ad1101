// What a trial is for, as label, value and unit.
#pragma once

#include <optional>
#include <string>

#include "core/chemistry/results.hpp"

namespace nestcup {

/// What a trial's purpose asks for; the value is absent where it is not known.
struct TrialOutcome {
  std::string label;  ///< "enthalpy"
  std::optional<Measured> value;
  std::string unit;  ///< "kJ/mol"
};

[[nodiscard]] TrialOutcome trial_outcome(const TrialResult& trial);

/// Value and standard uncertainty with their unit: "28.0 \u00B1 0.3 J/K".
[[nodiscard]] std::string quantity_text(const Measured& measured, std::string_view unit);

/// What E_n says: whether the two agree within their uncertainties (k = 2).
[[nodiscard]] std::string agreement_text(double E_n);

}  // namespace nestcup
