// What one run of a trial comes to, by the trial's purpose.
#pragma once

#include <optional>
#include <string>

#include "core/chemistry/trial_run.hpp"

namespace nestcup {

/// The calorimeter constant (J/K) out of one run: heat that came in, less what the contents took
/// up, over the rise. From warm and cold water nothing came in; electrical heating brings V I t; a
/// reference reaction its enthalpy.
/// @return nothing where it cannot be worked out (said in the notes)
[[nodiscard]] std::optional<Measured> constant_of_run(const MixedRun& run, const TrialWork& work);

/// A reaction's heat and enthalpy out of one run.
struct ReactionRun {
  Measured heat_J;              ///< taken up by contents and calorimeter, and carried off by gas
  Measured wet_gas_J;           ///< the part that gas carried off; 0 without gas
  Measured extent_mol;          ///< of the equation as written
  std::string limiting;         ///< species
  Measured delta_H_kJ_per_mol;  ///< at the cup's temperature before mixing
};
/// @param constant_J_per_K  of the calorimeter
[[nodiscard]] std::optional<ReactionRun> reaction_of_run(const MixedRun& run,
                                                         const Measured& constant_J_per_K,
                                                         const TrialWork& work);

/// Heat capacity (J/(g K)) of a hot (or cold) solid put into the cup's liquid.
[[nodiscard]] std::optional<Measured> solid_J_per_g_K(const MixedRun& run,
                                                      const Measured& constant_J_per_K,
                                                      const TrialWork& work);

/// Enthalpy of fusion (J/g) of ice put into the cup's liquid, at 0 degC.
[[nodiscard]] std::optional<Measured> fusion_J_per_g(const MixedRun& run,
                                                     const Measured& constant_J_per_K,
                                                     const TrialWork& work);

}  // namespace nestcup
