// The heat balance the other way round: the rise that a planned trial should show.
//
// The same contents, heat capacities and balance as work a finished run out (trial_values), solved
// for the final temperature: a run with exactly this rise gives back exactly what was put in.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/chemistry/expected_outcome.hpp"

namespace nestcup {

/// A planned trial as it should go.
struct ExpectedTrial {
  std::string name;
  ExpectedValue outcome;     ///< what it is for, in its unit
  std::string added_source;  ///< where the temperature of what is added is known from
  Measured cup_degC;
  std::optional<Measured> added_degC;  ///< nothing where nothing is added
  Measured rise_K;  ///< corrected; its u has amounts, temperatures, tables and outcome
  Measured final_degC;
  std::vector<Reach> reaches;  ///< of a reaction's reactants, what runs out first in front
  std::optional<std::string> rival;
  Measured gas_mol;
  /// Mean heat capacities, J/K: of what was in the cup with the calorimeter, and of everything in
  /// the end with it.
  double cup_J_per_K = 0.0, after_J_per_K = 0.0;
};

/// @param constant_J_per_K  of the calorimeter
/// @errors no_input: the outcome is not known; bad_data: no liquid would be left, or there is
///         nothing of a reactant; without the trial's name
[[nodiscard]] Result<ExpectedTrial> expected_trial(const TrialWork& work,
                                                   const Assumptions& assumptions,
                                                   const Measured& constant_J_per_K);

}  // namespace nestcup
