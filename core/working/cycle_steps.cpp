#include "core/working/cycle_steps.hpp"

#include "core/working/step_writer.hpp"

namespace nestcup {

namespace {

class CycleWriter : StepWriter {
 public:
  explicit CycleWriter(Working& working) : StepWriter(working) {}

  /// The sum of the terms; nothing where one is not known.
  std::optional<StepId> sum(const CycleResult& cycle, const TrialSteps& trials) {
    std::string expression;
    Operands operands;
    for (const CycleTerm& term : cycle.terms) {
      const auto share = share_step(term, trials);
      if (!share) return std::nullopt;
      const std::string name = "h" + std::to_string(operands.size());
      expression += (expression.empty() ? "" : " + ") + name;
      operands[name] = *share;
    }
    if (operands.empty() || !cycle.delta_H_kJ_per_mol) return std::nullopt;
    return derived({"cycle_sum", "DeltaH_cycle", "kJ/mol", cycle.target}, expression,
                   std::move(operands));
  }

  /// @return the difference
  StepId compared(const Comparison& comparison, StepId mine) {
    const StepId accepted = given({"accepted", "DeltaH_acc", "kJ/mol"}, Origin::table,
                                  comparison.kJ_per_mol, comparison.source);
    const StepId difference =
        derived({"difference", "d", "kJ/mol"}, "x - a", {{"x", mine}, {"a", accepted}});
    if (comparison.percent) {
      const bool negative = comparison.kJ_per_mol.value() < 0.0;
      derived({"percent", "d_rel", "%"}, negative ? "100 * d / (-a)" : "100 * d / a",
              {{"d", difference}, {"a", accepted}});
    }
    if (comparison.E_n) {
      const StepId u = given({"u_of_difference", "u(d)", "kJ/mol"}, Origin::budget,
                             Measured(comparison.difference_kJ_per_mol.u()));
      derived({"E_n", "E_n"}, "d / (2 * u)", {{"d", difference}, {"u", u}});
    }
    return difference;
  }

 private:
  std::optional<StepId> term_step(const CycleTerm& term, const TrialSteps& trials) {
    if (!term.measured) {
      return given({"accepted", "DeltaH", "kJ/mol", term.name}, Origin::table, term.kJ_per_mol,
                   term.source);
    }
    const auto trial = trials.find(term.name);
    if (trial == trials.end()) return std::nullopt;
    return trial->second;
  }

  /// Multiplier times enthalpy.
  std::optional<StepId> share_step(const CycleTerm& term, const TrialSteps& trials) {
    const auto enthalpy = term_step(term, trials);
    if (!enthalpy) return std::nullopt;
    return derived({"term", "s_" + std::to_string(++terms_), "kJ/mol", term.name},
                   factor_text(term.multiplier) + " * h", {{"h", *enthalpy}});
  }

  int terms_ = 0;
};

}  // namespace

void comparison_part(const Comparison& comparison, const std::string& trial, StepId mine,
                     Working& working) {
  working.begin_part({WorkingPart::Kind::comparison, trial, 0, "", 0, 0, std::nullopt});
  working.end_part(CycleWriter(working).compared(comparison, mine));
}

void cycle_part(const CycleResult& cycle, const TrialSteps& trials, Working& working) {
  working.begin_part({WorkingPart::Kind::cycle, "", 0, "", 0, 0, std::nullopt});
  const auto sum = CycleWriter(working).sum(cycle, trials);
  working.end_part(sum);
  if (sum && cycle.accepted) comparison_part(*cycle.accepted, "", *sum, working);
}

}  // namespace nestcup
