// One run of a trial with what the sheet says of it: amounts and temperatures together.
#pragma once

#include <optional>

#include "core/chemistry/heat_balance.hpp"
#include "core/chemistry/notes.hpp"

namespace nestcup {

/// What all runs of a trial are worked out with.
struct TrialWork {
  const Sheet& sheet;
  const SheetTrial& trial;
  Inputs& inputs;
  ResultNotes& notes;
};

/// Puts together what was in the vessels and how warm it was.
///
/// The added temperature is that of the run (a probe, or typed with the run), else the sheet's,
/// else 0 degC for ice, else that of the cup within 2 K (said in the notes).
/// @return nothing where it cannot be told (said in the notes): a calorimeter constant or a hot
/// solid
///         without the added temperature
[[nodiscard]] std::optional<MixedRun> mixed_run(const RunFacts& facts, const TrialWork& work);

}  // namespace nestcup
