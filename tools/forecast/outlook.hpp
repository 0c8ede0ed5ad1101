// A plan worked out: the rises to expect, and the results that runs with them would give.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/chemistry/expected_rise.hpp"
#include "core/chemistry/results.hpp"
#include "tools/forecast/bench_plan.hpp"
#include "tools/forecast/rehearsal.hpp"

namespace nestcup::forecast {

/// Everything that a forecast starts from; levers change one thing in it.
struct Plan {
  Sheet sheet;  ///< without runs typed into it: they are no plan
  Assumptions assumptions;
  BenchPlan bench;
  /// By trial, in the sheet's order: rehearsed errors, nothing where a trial is left out.
  std::vector<std::optional<RunErrors>> errors;
};

/// A trial's expectation, or why there is none.
using Expectation = Result<ExpectedTrial>;

/// The rises to expect.
struct Rises {
  Inputs inputs;
  ExpectedValue constant_J_per_K;
  std::vector<Expectation> trials;  ///< in the sheet's order
};
[[nodiscard]] Rises expected_rises(const Sheet& sheet, const Assumptions& assumptions);

/// Whose uncertainties planned runs have: those that the rehearsal found, or those that the
/// analysis will state.
enum class Errors { rehearsed, stated };

/// All planned runs as if they had gone as expected.
[[nodiscard]] std::vector<RunFacts> planned_runs(const Plan& plan, const Rises& rises,
                                                 Errors errors);

/// What `nestcup results` would make of them. Trials without expectation or rehearsal have no runs.
[[nodiscard]] Results outlook(const Plan& plan, const Rises& rises,
                              Errors errors = Errors::rehearsed);

/// Whether the trial gives the calorimeter constant.
[[nodiscard]] bool gives_constant(const SheetTrial& trial);

}  // namespace nestcup::forecast
