// Steps from what was measured out to masses and amounts of substance.
#pragma once

#include <map>
#include <set>
#include <string>

#include "core/chemistry/contents.hpp"
#include "core/chemistry/trial_run.hpp"
#include "core/working/working.hpp"

namespace nestcup {

/// The steps of one vessel that later ones rest on.
struct VesselSteps {
  StepId mass_g = 0;
  std::map<std::string, StepId> amounts_mol;  ///< by particle: "H+(aq)", "MgO(s)"
};

/// One vessel of a run.
struct Vessel {
  int index = 1;  ///< of its symbols: 1 the cup before mixing, 2 what is added
  const Contents& contents;
  Measured degC;      ///< of the contents before mixing
  std::string run;    ///< id, names errors of the run's own
  std::string place;  ///< as mixed_run names it
};

/// Masses, and amounts of the particles wanted as far as the vessel has them.
/// @param wanted  particles that the trial's reaction takes
[[nodiscard]] VesselSteps vessel_steps(const Vessel& vessel, const std::set<std::string>& wanted,
                                       const TrialWork& work, Working& working);

/// "m_1" of m and 1.
[[nodiscard]] std::string indexed(const std::string& symbol, int index);

}  // namespace nestcup
