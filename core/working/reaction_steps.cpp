#include "core/working/reaction_steps.hpp"

#include "core/matter/elements.hpp"
#include "core/matter/substances.hpp"
#include "core/working/step_writer.hpp"

namespace nestcup {

namespace {

bool is_water(const Formula& species) {
  return species.text == "H2O(l)" || species.text == "H2O(aq)";
}

/// What one mol of the equation's left side takes, particle by particle.
std::map<std::string, Rational> demands(const Equation& equation) {
  std::map<std::string, Rational> demands;
  for (const Term& term : equation.left) {
    for (const Particle& particle : dissociated(term.species)) {
      if (is_water(particle.species)) continue;
      demands[particle.species.text] += term.coefficient * particle.count;
    }
  }
  return demands;
}

/// Of each reactant the particle that runs out first, with its demand: the ions of one substance
/// allow the same extent, and one of them is enough to read.
std::map<std::string, Rational> least_reaching(const Equation& equation,
                                               const std::map<std::string, StepId>& amounts,
                                               const Working& working) {
  const auto demand_of = demands(equation);
  std::map<std::string, Rational> chosen;
  for (const Term& term : equation.left) {
    std::optional<std::pair<double, std::string>> least;
    for (const Particle& particle : dissociated(term.species)) {
      const auto amount = amounts.find(particle.species.text);
      if (amount == amounts.end()) continue;
      const std::string& name = amount->first;
      const double reach = working[amount->second].value.value() / to_double(demand_of.at(name));
      if (!least || reach < least->first) least = {reach, name};
    }
    if (least) chosen[least->second] = demand_of.at(least->second);
  }
  return chosen;
}

/// Gases that the reaction makes, with their coefficients.
std::vector<std::pair<Formula, Rational>> gases_of(const Equation& equation) {
  std::vector<std::pair<Formula, Rational>> gases;
  for (const Term& term : equation.right) {
    if (term.species.phase == Phase::gas) gases.emplace_back(term.species, term.coefficient);
  }
  return gases;
}

}  // namespace

std::set<std::string> particles_taken(const Equation& equation) {
  std::set<std::string> particles;
  for (const auto& [particle, demand] : demands(equation)) particles.insert(particle);
  return particles;
}

StepId extent_step(const Equation& equation, const std::map<std::string, StepId>& amounts,
                   Working& working) {
  std::map<std::string, StepId, std::less<>> reaches;
  std::string expression;
  for (const auto& [particle, demand] : least_reaching(equation, amounts, working)) {
    const std::string name = "x" + std::to_string(reaches.size());
    reaches[name] = working.derived({"reach",
                                     particle,
                                     "xi(" + particle + ")",
                                     "mol",
                                     Origin::derived,
                                     "",
                                     demand == 1 ? std::string("n") : "n / " + factor_text(demand),
                                     {{"n", amounts.at(particle)}},
                                     {}});
    expression += (expression.empty() ? "" : ", ") + name;
  }
  if (reaches.size() == 1) return reaches.begin()->second;
  return working.derived(
      {"extent", "", "xi", "mol", Origin::derived, "", "min(" + expression + ")", reaches, {}});
}

std::optional<GasSteps> gas_steps(const Equation& equation, StepId extent, Working& working) {
  std::optional<GasSteps> sum;
  for (const auto& [gas, coefficient] : gases_of(equation)) {
    GasSteps steps;
    steps.mol = working.derived({"gas_amount",
                                 gas.text,
                                 "n(" + gas.text + ")",
                                 "mol",
                                 Origin::derived,
                                 "",
                                 factor_text(coefficient) + " * xi",
                                 {{"xi", extent}},
                                 {}});
    const StepId molar = working.given({"molar_mass",
                                        gas.text,
                                        "M(" + gas.text + ")",
                                        "g/mol",
                                        Origin::table,
                                        "",
                                        "",
                                        {},
                                        Measured(molar_mass_g_per_mol(gas).value)});
    steps.mass_g = working.derived({"gas_mass",
                                    gas.text,
                                    "m(" + gas.text + ")",
                                    "g",
                                    Origin::derived,
                                    "",
                                    "n * M",
                                    {{"n", steps.mol}, {"M", molar}},
                                    {}});
    if (sum) {
      steps.mol = working.derived({"gas_amount_together",
                                   "",
                                   "n_g",
                                   "mol",
                                   Origin::derived,
                                   "",
                                   "a + b",
                                   {{"a", sum->mol}, {"b", steps.mol}},
                                   {}});
      steps.mass_g = working.derived({"gas_mass_together",
                                      "",
                                      "m_g",
                                      "g",
                                      Origin::derived,
                                      "",
                                      "a + b",
                                      {{"a", sum->mass_g}, {"b", steps.mass_g}},
                                      {}});
    }
    sum = steps;
  }
  return sum;
}

}  // namespace nestcup
