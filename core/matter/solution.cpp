#include "core/matter/solution.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/matter/water.hpp"

namespace nestcup {
namespace {

double water_density(double degC) {
  return unchecked::water_density_g_per_mL(
      std::clamp(degC, lowest_liquid_degC, highest_liquid_degC));
}

bool is_positive(double value) {
  return value > 0.0 && std::isfinite(value);
}

Result<void> check(const LiquidConvention& convention) {
  if (is_positive(convention.density_g_per_mL.value_or(1.0)) &&
      is_positive(convention.heat_capacity_J_per_g_K.value_or(1.0))) {
    return {};
  }
  return Error{Fault::bad_data,
               "a density or heat capacity chosen for every liquid is a number above 0"};
}

/// The water in a litre that holds these solutes, by fixed-point steps: water fills what the
/// solutes leave, whose volume depends little on it. Nothing where there is no room for water.
std::optional<double> water_in_litre_g(const Solutes& solutes, double degC) {
  constexpr double litre_mL = 1e3, most_w = 0.98, rounding = 1e-13;
  constexpr int most_steps = 200;
  const double solutes_g = solutes.mass_g();
  const double g_per_mL = water_density(degC);
  double water_g = litre_mL * g_per_mL;
  for (int step = 0; step < most_steps; ++step) {
    const double w = solutes_g / (solutes_g + water_g);
    double left_mL = litre_mL;
    for (const Solutes::Mass& mass : solutes.masses) {
      left_mL -= mass.g * apparent_volume_mL_per_g(*mass.solute, w, degC);
    }
    const double next_g = g_per_mL * left_mL;
    if (!(next_g > (1.0 - most_w) * (solutes_g + next_g))) return std::nullopt;
    if (std::abs(next_g - water_g) <= rounding * next_g) return next_g;
    water_g = next_g;
  }
  return std::nullopt;
}

std::vector<SpeciesAmount> scaled_amounts(std::span<const SpeciesAmount> amounts, double factor) {
  std::vector<SpeciesAmount> all(amounts.begin(), amounts.end());
  for (SpeciesAmount& amount : all) amount.mol *= factor;
  return all;
}

}  // namespace

Solution Solution::put_together(std::span<const SpeciesAmount> amounts, const Solutes& solutes,
                                double water_g, const LiquidConvention& convention) {
  Solution solution;
  solution.amounts_.assign(amounts.begin(), amounts.end());
  solution.convention_ = convention;
  solution.water_g_ = water_g;
  solution.mass_g_ = water_g + solutes.mass_g();
  solution.has_sums_ = solutes.has_sums;
  for (const Solutes::Mass& mass : solutes.masses) {
    solution.shares_.push_back({mass.solute, mass.g / solution.mass_g_});
  }
  return solution;
}

Solution Solution::water(double mass_g, const LiquidConvention& convention) {
  return put_together({}, {}, mass_g, convention);
}

Result<Solution> Solution::of_amounts(std::span<const SpeciesAmount> amounts, double water_g,
                                      const LiquidConvention& convention) {
  if (auto checked = check(convention); !checked) return checked.error();
  const auto solutes = paired_ions(amounts);
  if (!solutes) return solutes.error();
  if (!is_positive(water_g)) {
    return Error{Fault::bad_data,
                 fmt::format("{} g of water: a solution needs some to be one", water_g)};
  }
  return put_together(amounts, *solutes, water_g + solutes->water_g, convention);
}

Result<Solution> Solution::of_concentrations(std::span<const SpeciesAmount> mol_per_L,
                                             double made_degC, const LiquidConvention& convention) {
  if (auto checked = check(convention); !checked) return checked.error();
  const auto solutes = paired_ions(mol_per_L);
  if (!solutes) return solutes.error();
  constexpr double litre_mL = 1e3;
  std::optional<double> water_g;
  if (convention.density_g_per_mL) {
    const double left_g = litre_mL * *convention.density_g_per_mL - solutes->mass_g();
    if (left_g > 0.0) water_g = left_g;
  } else {
    water_g = water_in_litre_g(*solutes, made_degC);
  }
  if (!water_g) {
    return Error{Fault::bad_data,
                 fmt::format("{:.4g} g of solutes in a litre leave no room for water: check the "
                             "concentration in mol/L",
                             solutes->mass_g())};
  }
  return put_together(mol_per_L, *solutes, *water_g, convention);
}

Result<Solution> Solution::of_mass_fraction(std::span<const SpeciesAmount> per_mol, double w,
                                            const LiquidConvention& convention) {
  constexpr double kilogram_g = 1e3;
  double molar_mass_g_per_mol = 0.0;
  for (const SpeciesAmount& amount : per_mol) {
    molar_mass_g_per_mol += amount.mol * amount.species.molar_mass_g_per_mol;
  }
  if (!(w >= 0.0 && w < 1.0) || !is_positive(molar_mass_g_per_mol)) {
    return Error{Fault::bad_data,
                 fmt::format("mass fraction {}: it lies between 0 and 1, and is of something", w)};
  }
  return of_amounts(scaled_amounts(per_mol, kilogram_g * w / molar_mass_g_per_mol),
                    kilogram_g * (1.0 - w), convention);
}

Solution Solution::scaled(double factor) const {
  Solution other = *this;
  for (SpeciesAmount& amount : other.amounts_) amount.mol *= factor;
  other.mass_g_ *= factor;
  other.water_g_ *= factor;
  return other;
}

Solution Solution::with_mass_g(double mass_g) const {
  return scaled(mass_g / mass_g_);
}

Solution Solution::with_volume_mL(double volume_mL, double degC) const {
  return with_mass_g(volume_mL * density_g_per_mL(degC));
}

double Solution::amount_mol(std::string_view species) const {
  double sum_mol = 0.0;
  for (const SpeciesAmount& amount : amounts_) {
    if (amount.species.text == species) sum_mol += amount.mol;
  }
  return sum_mol;
}

double Solution::molality_mol_per_kg(std::string_view species) const {
  return 1e3 * amount_mol(species) / water_g_;
}

double Solution::density_g_per_mL(double degC) const {
  if (convention_.density_g_per_mL) return *convention_.density_g_per_mL;
  return laliberte_density_g_per_mL(shares_, degC, water_density(degC));
}

double Solution::heat_capacity_J_per_g_K(double degC) const {
  if (convention_.heat_capacity_J_per_g_K) return *convention_.heat_capacity_J_per_g_K;
  return laliberte_heat_capacity_J_per_g_K(shares_, degC,
                                           unchecked::water_heat_capacity_J_per_g_K(std::clamp(
                                               degC, lowest_liquid_degC, highest_liquid_degC)));
}

}  // namespace nestcup
