// The working of a sheet held against its results.
#pragma once

#include "core/working/sheet_steps.hpp"
#include "tests/catch.hpp"

namespace nestcup::testing {

inline const TrialResult* trial_named(const Results& results, const std::string& name) {
  for (const TrialResult& trial : results.trials) {
    if (trial.name == name) return &trial;
  }
  return nullptr;
}

/// What a part of the working must come to by the results.
inline std::optional<Measured> expected_result(const Results& results, const WorkingPart& part) {
  using Kind = WorkingPart::Kind;
  if (part.kind == Kind::constant) return results.constant_J_per_K;
  if (part.kind == Kind::cycle) return results.cycle->delta_H_kJ_per_mol;
  const TrialResult* const trial = trial_named(results, part.trial);
  if (part.kind == Kind::comparison) {
    const auto& comparison = trial != nullptr ? trial->accepted : results.cycle->accepted;
    return comparison->difference_kJ_per_mol;
  }
  if (part.kind == Kind::run) {
    for (const RunResult& run : trial->runs) {
      if (run.facts.id == part.run_id) return run.value;
    }
    return std::nullopt;
  }
  for (const auto& value :
       {trial->delta_H_25_kJ_per_mol, trial->delta_H_kJ_per_mol, trial->constant_J_per_K,
        trial->heat_capacity_J_per_g_K, trial->fusion_J_per_g}) {
    if (value) return value;
  }
  return std::nullopt;
}

/// Each part of the working comes to what the results say, and nothing is left out.
inline void check_working(const Sheet& sheet, const Results& results) {
  const Working working = working_of(sheet, results);
  std::size_t runs = 0;
  for (const WorkingPart& part : working.parts()) {
    INFO("working of " << part.trial << " run " << part.run_number);
    const auto expected = expected_result(results, part);
    REQUIRE(part.result.has_value() == expected.has_value());
    if (part.kind == WorkingPart::Kind::run) ++runs;
    if (!expected) continue;
    CHECK(working[*part.result].value.value() == Approx(expected->value()).epsilon(1e-9));
  }
  std::size_t wanted = 0;
  for (const TrialResult& trial : results.trials) wanted += trial.runs.size();
  CHECK(runs == wanted);
}

}  // namespace nestcup::testing
