// The runs of one trial put together.
#pragma once

#include <optional>
#include <vector>

#include "core/chemistry/pooling.hpp"
#include "core/chemistry/results.hpp"
#include "core/chemistry/trial_run.hpp"

namespace nestcup {

/// Repeats of one trial, value by value.
class Repeats {
 public:
  explicit Repeats(const TrialWork& work);

  /// Works a run out; one that cannot be is left out (said in the notes).
  /// @param constant_J_per_K  of the calorimeter; of no use where the trial is to give it
  void add(const RunFacts& facts, const Measured& constant_J_per_K);

  /// Everything about the trial; to be called once, last.
  [[nodiscard]] TrialResult together();

 private:
  [[nodiscard]] std::optional<Measured> value_of(const MixedRun& run,
                                                 const Measured& constant_J_per_K);
  void note_scatter(const Pooled& pooled);
  void place(const Pooled& pooled);
  void place_reaction(const Pooled& pooled);

  TrialWork work_;
  TrialResult result_;
  std::vector<Measured> values_, cups_degC_, heats_J_, wet_gas_J_, extents_mol_;
};

}  // namespace nestcup
