#include "core/chemistry/mixture.hpp"

#include <algorithm>
#include <cmath>

#include "core/matter/elements.hpp"
#include "core/matter/substances.hpp"

namespace nestcup {

namespace {

bool is_water(const Formula& species) {
  return species.text == "H2O(l)" || species.text == "H2O(aq)";
}

double g_per_mol(const Formula& species) {
  return molar_mass_g_per_mol(species).value;
}

double g_per_mol(const std::string& species) {
  return molar_mass_g_per_mol(parse_formula(species).value()).value;
}

/// By the same atomic weights as all else, so that reactions keep the mass.
double g_per_mol_of_water() {
  static const double g_per_mol_once = g_per_mol("H2O(l)");
  return g_per_mol_once;
}

/// Adds mol (negative to take away) of one particle; gases leave.
void add(Mixture& mixture, const Formula& species, const Measured& mol) {
  if (is_water(species)) {
    mixture.water_g += mol * g_per_mol_of_water();
  } else if (species.phase == Phase::aqueous) {
    mixture.dissolved_mol[species.text] += mol;
  } else if (species.phase != Phase::gas) {
    SolidPart& part = mixture.solids[species.text];
    part.species = species;
    part.mol += mol;
  }
}

void add_side(Mixture& mixture, const std::vector<Term>& side, const Measured& extent_mol) {
  for (const Term& term : side) {
    for (const Particle& particle : dissociated(term.species)) {
      add(mixture, particle.species, to_double(term.coefficient) * particle.count * extent_mol);
    }
  }
}

/// How much of each particle one mol of an equation's left side takes: several reactants may take
/// the same one.
std::map<std::string, double> demand_of(const Equation& equation) {
  std::map<std::string, double> demand;
  for (const Term& term : equation.left) {
    for (const Particle& particle : dissociated(term.species)) {
      demand[particle.species.text] += to_double(term.coefficient) * particle.count;
    }
  }
  return demand;
}

/// The extent that this much of a reactant allows.
Measured reach_of(const Term& term, const std::map<std::string, double>& demand,
                  const Mixture& reactants) {
  std::optional<Measured> least;
  for (const Particle& particle : dissociated(term.species)) {
    const Measured reach =
        available_mol(reactants, particle.species) / demand.at(particle.species.text);
    if (!least || reach.value() < least->value()) least = reach;
  }
  return least.value_or(Measured{});
}

}  // namespace

Mixture& Mixture::operator+=(const Mixture& other) {
  water_g += other.water_g;
  unnamed_g += other.unnamed_g;
  for (const auto& [name, mol] : other.dissolved_mol) dissolved_mol[name] += mol;
  for (const auto& [name, part] : other.solids) {
    SolidPart& own = solids[name];
    own.species = part.species;
    own.mol += part.mol;
  }
  return *this;
}

Measured mass_g(const Mixture& mixture) {
  Measured sum = mixture.water_g + mixture.unnamed_g;
  for (const auto& [name, mol] : mixture.dissolved_mol) sum += g_per_mol(name) * mol;
  for (const auto& [name, part] : mixture.solids) sum += g_per_mol(part.species) * part.mol;
  return sum;
}

Measured available_mol(const Mixture& mixture, const Formula& species) {
  if (is_water(species)) return mixture.water_g / g_per_mol_of_water();
  if (const auto solid = mixture.solids.find(species.text); solid != mixture.solids.end()) {
    return solid->second.mol;
  }
  const auto dissolved = mixture.dissolved_mol.find(species.text);
  return dissolved == mixture.dissolved_mol.end() ? Measured{} : dissolved->second;
}

std::vector<Reach> reaches_of(const Equation& equation, const Mixture& reactants) {
  std::vector<Reach> reaches;
  const auto demand = demand_of(equation);
  for (const Term& term : equation.left) {
    reaches.push_back({term.species.text, reach_of(term, demand, reactants)});
  }
  std::stable_sort(reaches.begin(), reaches.end(),
                   [](const Reach& a, const Reach& b) { return a.mol.value() < b.mol.value(); });
  return reaches;
}

Extent extent_of(const Equation& equation, const Mixture& reactants) {
  Extent extent;
  const std::vector<Reach> reaches = reaches_of(equation, reactants);
  if (reaches.empty()) return extent;
  extent.mol = reaches.front().mol;
  extent.limiting = reaches.front().species;
  if (reaches.size() > 1) {
    const Measured apart = reaches[1].mol - extent.mol;
    if (apart.value() <= 2.0 * apart.u()) extent.rival = reaches[1].species;
  }
  return extent;
}

Mixture after_reaction(Mixture reactants, const Equation& equation, const Measured& extent_mol) {
  add_side(reactants, equation.left, -extent_mol);
  add_side(reactants, equation.right, extent_mol);
  return reactants;
}

Measured gas_mol(const Equation& equation, const Measured& extent_mol) {
  double coefficient = 0.0;
  for (const Term& term : equation.right) {
    if (term.species.phase == Phase::gas) coefficient += to_double(term.coefficient);
  }
  for (const Term& term : equation.left) {
    if (term.species.phase == Phase::gas) coefficient -= to_double(term.coefficient);
  }
  return coefficient * extent_mol;
}

}  // namespace nestcup
