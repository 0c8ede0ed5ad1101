#include "tests/fuzz/equation_property.hpp"

#include <cmath>
#include <map>

#include "core/matter/accepted.hpp"
#include "core/matter/elements.hpp"
#include "core/matter/equation.hpp"
#include "core/matter/substances.hpp"

namespace nestcup::fuzzing {
namespace {

using Broken = std::optional<std::string>;

Broken broken_refusal(const Error& error) {
  if (error.kind != Fault::bad_data) return "not refused as bad data: " + error.text;
  if (error.text.empty()) return "refused without a reason";
  return std::nullopt;
}

bool same(const Formula& a, const Formula& b) {
  return a == b && a.atoms == b.atoms && a.charge == b.charge && a.phase == b.phase;
}

Broken broken_ions(const Formula& formula) {
  std::map<std::string, int> atoms;
  int charge = 0;
  for (const Particle& particle : dissociated(formula)) {
    if (particle.count < 1) return "a number of ions below 1";
    for (const auto& [symbol, count] : particle.species.atoms) {
      atoms[symbol] += particle.count * count;
    }
    charge += particle.count * particle.species.charge;
  }
  if (atoms != formula.atoms) return "its ions have other atoms";
  if (charge != formula.charge) return "its ions have another charge";
  return std::nullopt;
}

Broken broken_formula(const Formula& formula) {
  const auto again = parse_formula(formula.text);
  if (!again) return "its own text is refused: " + again.error().text;
  if (!same(formula, *again)) return formula.text + " reads back as " + again->text;
  const Uncertain mass = molar_mass_g_per_mol(formula);
  if (!(mass.value > 0.0) || !(mass.u >= 0.0)) return "no molar mass";
  if (!same(in_phase(in_phase(formula, Phase::gas), formula.phase), formula)) {
    return "another phase and back makes another formula";
  }
  for (const auto& phase : {formula.phase, std::optional(Phase::aqueous)}) {
    if (auto broken = broken_ions(in_phase(formula, phase))) return formula.text + ": " + *broken;
  }
  return std::nullopt;
}

/// Amounts that both sides hold of everything, counted in ions.
Broken broken_balance(const Equation& equation) {
  Equation ionic = equation;
  for (std::vector<Term>* const side : {&ionic.left, &ionic.right}) {
    std::vector<Term> ions;
    for (const Term& term : *side) {
      for (const Particle& particle : dissociated(term.species)) {
        ions.push_back({term.coefficient * particle.count, particle.species});
      }
    }
    *side = std::move(ions);
  }
  if (imbalances(ionic).empty() != check_balance(equation).ok()) {
    return "balanced otherwise than its ions";
  }
  return std::nullopt;
}

Broken broken_equation(const Equation& equation) {
  const auto again = parse_equation(equation.text);
  // Written out, an equation can outgrow what is read; no person's does.
  if (!again) return equation.text.size() > 1000 ? std::nullopt : Broken("its own text is refused");
  if (again->text != equation.text) return equation.text + " reads back as " + again->text;
  for (const std::vector<Term>* const side : {&equation.left, &equation.right}) {
    if (side->empty()) return "a side without a species";
    for (const Term& term : *side) {
      if (!(term.coefficient > 0)) return "a coefficient that is not above 0";
      if (auto broken = broken_formula(term.species)) return broken;
    }
  }
  if (auto broken = broken_balance(equation)) return broken;
  const auto accepted = accepted_enthalpy(equation);
  if (accepted && !std::isfinite(accepted->value.kJ_per_mol)) return "an enthalpy without end";
  if (!accepted && accepted.error().text.empty()) return "no enthalpy and no reason";
  return std::nullopt;
}

}  // namespace

std::optional<std::string> broken_equation_property(std::string_view text) {
  for (const auto& formula : {parse_formula(text), substance(text)}) {
    if (auto broken = formula ? broken_formula(*formula) : broken_refusal(formula.error())) {
      return broken;
    }
  }
  const auto equation = parse_equation(text);
  return equation ? broken_equation(*equation) : broken_refusal(equation.error());
}

}  // namespace nestcup::fuzzing
