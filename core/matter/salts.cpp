#include "core/matter/salts.hpp"

#include <fmt/format.h>

#include <cmath>
#include <utility>

#include "core/matter/elements.hpp"
#include "core/matter/ion_table.hpp"
#include "core/matter/substances.hpp"
#include "core/matter/unlisted_solutes.hpp"

namespace nestcup {
namespace {

using Kind = DissolvedSpecies::Kind;

void classify(const Makeup& makeup, DissolvedSpecies& species) {
  const IonTable& table = IonTable::get();
  const auto is = [&](Kind kind, std::optional<std::size_t> index) {
    if (index) {
      species.kind = kind;
      species.index = *index;
    }
    return index.has_value();
  };
  if (makeup == Makeup{{{"H", 2}, {"O", 1}}, 0}) {
    species.kind = Kind::water;
  } else if (makeup == Makeup{{{"H", 1}, {"S", 1}, {"O", 4}}, -1}) {
    // In dilute solution most of it is apart.
    species.kind = Kind::hydrogen_salt_ion;
  } else if (!is(Kind::cation, table.find_cation(makeup)) &&
             !is(Kind::anion, table.find_anion(makeup)) &&
             !is(Kind::solute, table.find_solute(makeup))) {
    species.kind = makeup.charge == 0 ? Kind::unlisted_molecule : Kind::unlisted_ion;
  }
}

/// Adds up species, then puts the ions together. Charges in equivalents (mol of charge).
class Pairing {
 public:
  Pairing()
      : cations_(table_.cations().size()),
        anions_(table_.anions().size()),
        grams_(laliberte_solutes().size()) {}

  void add(const DissolvedSpecies& species, double mol) {
    const double g = mol * species.molar_mass_g_per_mol;
    switch (species.kind) {
      case Kind::water:
        result_.water_g += g;
        break;
      case Kind::cation:
        cations_[species.index] += mol * species.charge;
        break;
      case Kind::anion:
        anions_[species.index] -= mol * species.charge;
        break;
      case Kind::hydrogen_salt_ion:
        cations_[*table_.find_cation({{{"H", 1}}, 1})] += mol;
        anions_[*table_.find_anion({{{"S", 1}, {"O", 4}}, -2})] += 2.0 * mol;
        break;
      case Kind::solute:
        grams_[species.index] += g;
        break;
      case Kind::unlisted_ion:
        (species.charge > 0 ? unlisted_cations_ : unlisted_anions_) +=
            std::abs(species.charge) * mol;
        unlisted_salts_g_ += g;
        break;
      case Kind::unlisted_molecule:
        unlisted_molecules_g_ += g;
        break;
    }
  }

  [[nodiscard]] double positive() const { return sum(cations_) + unlisted_cations_; }
  [[nodiscard]] double negative() const { return sum(anions_) + unlisted_anions_; }

  Solutes paired() {
    const double all = 0.5 * (positive() + negative());
    if (all > 0.0) share_out(all);
    const auto& solutes = laliberte_solutes();
    for (std::size_t i = 0; i < grams_.size(); ++i) {
      keep(solutes[i], grams_[i]);
    }
    keep(unlisted_salt(), unlisted_salts_g_);
    keep(unlisted_molecule(), unlisted_molecules_g_);
    return std::move(result_);
  }

 private:
  void keep(const LaliberteSolute& solute, double g) {
    if (g != 0.0) result_.masses.push_back({&solute, g});
  }

  static double sum(const std::vector<double>& equivalents) {
    double all = 0.0;
    for (const double q : equivalents) all += q;
    return all;
  }

  static double g_per_equivalent(const Ion& ion) {
    const auto formula = parse_formula(ion.text);
    return molar_mass_g_per_mol(*formula).value / std::abs(ion.makeup.charge);
  }

  void share_out(double all) {
    for (std::size_t i = 0; i < cations_.size(); ++i) {
      for (std::size_t j = 0; j < anions_.size(); ++j) {
        const double q = cations_[i] * anions_[j] / all;
        if (q == 0.0) continue;
        const auto& terms = table_.salt(i, j);
        for (const SaltTerm& term : terms) {
          grams_[term.solute] += term.sign * q * term.g_per_equivalent;
        }
        result_.has_sums = result_.has_sums || terms.size() > 1;
      }
    }
    // What belongs to ions that the model does not know is as little known.
    if (unlisted_anions_ > 0.0) strand(cations_, table_.cations(), unlisted_anions_ / all);
    if (unlisted_cations_ > 0.0) strand(anions_, table_.anions(), unlisted_cations_ / all);
  }

  void strand(const std::vector<double>& equivalents, const std::vector<Ion>& ions, double share) {
    for (std::size_t i = 0; i < ions.size(); ++i) {
      if (equivalents[i] == 0.0) continue;
      unlisted_salts_g_ += equivalents[i] * share * g_per_equivalent(ions[i]);
    }
  }

  const IonTable& table_ = IonTable::get();
  std::vector<double> cations_, anions_, grams_;
  double unlisted_cations_ = 0.0, unlisted_anions_ = 0.0;
  double unlisted_salts_g_ = 0.0, unlisted_molecules_g_ = 0.0;
  Solutes result_;
};

}  // namespace

Result<DissolvedSpecies> dissolved_species(const Formula& formula) {
  if (formula.phase == Phase::solid || formula.phase == Phase::gas || formula.atoms.empty()) {
    return Error{Fault::bad_data,
                 fmt::format("{} is nothing dissolved: give species of a solution, such as Na+(aq)",
                             formula.text)};
  }
  DissolvedSpecies species;
  species.text = formula.text;
  species.molar_mass_g_per_mol = molar_mass_g_per_mol(formula).value;
  species.charge = formula.charge;
  classify({formula.atoms, formula.charge}, species);
  return species;
}

Result<DissolvedSpecies> dissolved_species(std::string_view formula) {
  const auto parsed = parse_formula(formula);
  if (!parsed) return parsed.error();
  return dissolved_species(*parsed);
}

Result<std::vector<SpeciesAmount>> dissolved_substance(const Formula& substance, double mol) {
  const bool is_liquid = substance.phase == Phase::liquid;
  std::vector<SpeciesAmount> amounts;
  for (const Particle& particle :
       dissociated(is_liquid ? substance : in_phase(substance, Phase::aqueous))) {
    auto species = dissolved_species(particle.species);
    if (!species) return species.error();
    amounts.push_back({std::move(*species), mol * particle.count});
  }
  return amounts;
}

double Solutes::mass_g() const {
  double sum_g = 0.0;
  for (const Mass& mass : masses) sum_g += mass.g;
  return sum_g;
}

Result<Solutes> paired_ions(std::span<const SpeciesAmount> amounts) {
  Pairing pairing;
  for (const SpeciesAmount& amount : amounts) {
    if (!(amount.mol >= 0.0 && std::isfinite(amount.mol))) {
      return Error{Fault::bad_data, fmt::format("{} mol of {}: an amount is a number, 0 or more",
                                                amount.mol, amount.species.text)};
    }
    pairing.add(amount.species, amount.mol);
  }
  constexpr double rounding = 1e-6;
  const double plus = pairing.positive(), minus = pairing.negative();
  if (std::abs(plus - minus) > rounding * (plus + minus)) {
    return Error{Fault::bad_data,
                 fmt::format("a solution has as much positive as negative charge, not {:.6g} and "
                             "{:.6g} mol: give all ions, those that do not react too",
                             plus, minus)};
  }
  return pairing.paired();
}

}  // namespace nestcup
