// What a vessel holds as a liquid: water with species dissolved in it, and what follows from that.
//
// Temperatures in degC, from lowest_liquid_degC to highest_liquid_degC; nothing checks that the
// liquid would not freeze or boil. All properties are continuous in temperature and amounts, so
// that a caller may differentiate them by differences.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "core/base/result.hpp"
#include "core/matter/laliberte.hpp"
#include "core/matter/salts.hpp"

namespace nestcup {

inline constexpr double lowest_liquid_degC = -20.0;
inline constexpr double highest_liquid_degC = 110.0;
/// The temperature at which volumetric ware is calibrated and solutions are made.
inline constexpr double volumetric_degC = 20.0;

/// Figures that someone has chosen for every liquid, such as the classroom's 1.00 and 4.184. What
/// is chosen has no uncertainty; what is not comes from the tables.
struct LiquidConvention {
  std::optional<double> density_g_per_mL;         ///< > 0
  std::optional<double> heat_capacity_J_per_g_K;  ///< > 0
};

/// How far the properties of a solution can be relied on.
struct LiquidFlags {
  bool outside_temperature = false;  ///< of water's or a solute's range: its end's value is used
  bool outside_strength = false;     ///< stronger than the coefficients were fitted to
  bool is_estimate =
      false;  ///< holds a solute without coefficients, or one that is a sum of others

  [[nodiscard]] bool operator==(const LiquidFlags&) const = default;
};

class Solution {
 public:
  [[nodiscard]] static Solution water(double mass_g, const LiquidConvention& convention = {});

  /// From amounts and the water they are in.
  /// @param water_g  > 0, without the water among the species
  /// @errors bad_data (as paired_ions; no water; a convention that is no number above 0)
  [[nodiscard]] static Result<Solution> of_amounts(std::span<const SpeciesAmount> amounts,
                                                   double water_g,
                                                   const LiquidConvention& convention = {});

  /// A litre of the solution, from concentrations.
  /// @param mol_per_L  of each species at `made_degC`; the species are those of the solution as
  ///                   it is, strong electrolytes as their ions
  /// @errors bad_data (as above; more than a litre can hold)
  [[nodiscard]] static Result<Solution> of_concentrations(std::span<const SpeciesAmount> mol_per_L,
                                                          double made_degC = volumetric_degC,
                                                          const LiquidConvention& convention = {});

  /// A kilogram of the solution, from the mass fraction of what was dissolved.
  /// @param per_mol  what one mol of that gives: {Mg+2: 1, SO4-2: 1, H2O: 7} for the heptahydrate
  /// @param w        0 to below 1
  [[nodiscard]] static Result<Solution> of_mass_fraction(std::span<const SpeciesAmount> per_mol,
                                                         double w,
                                                         const LiquidConvention& convention = {});

  /// The same solution, more or less of it. @param factor  > 0
  [[nodiscard]] Solution scaled(double factor) const;
  [[nodiscard]] Solution with_mass_g(double mass_g) const;
  /// So much as has this volume at this temperature.
  [[nodiscard]] Solution with_volume_mL(double volume_mL, double degC) const;

  [[nodiscard]] double mass_g() const { return mass_g_; }
  /// All water, that of hydrates included.
  [[nodiscard]] double water_g() const { return water_g_; }
  /// Of all entries with this canonical text; 0 where there is none.
  [[nodiscard]] double amount_mol(std::string_view species) const;
  [[nodiscard]] const std::vector<SpeciesAmount>& amounts() const { return amounts_; }
  /// Species that are water excepted, mol per kg of water.
  [[nodiscard]] double molality_mol_per_kg(std::string_view species) const;

  [[nodiscard]] double density_g_per_mL(double degC) const;
  [[nodiscard]] double volume_mL(double degC) const { return mass_g_ / density_g_per_mL(degC); }
  [[nodiscard]] double heat_capacity_J_per_g_K(double degC) const;
  /// Of all of it.
  [[nodiscard]] double heat_capacity_J_per_K(double degC) const {
    return mass_g_ * heat_capacity_J_per_g_K(degC);
  }

  /// Relative standard uncertainties of the model (LIQUIDS.md); 0 for what a convention fixes.
  /// Those of the amounts are not in them.
  [[nodiscard]] double density_relative_u(double degC) const;
  [[nodiscard]] double heat_capacity_relative_u(double degC) const;
  [[nodiscard]] LiquidFlags flags(double degC) const;

 private:
  Solution() = default;
  static Solution put_together(std::span<const SpeciesAmount> amounts, const Solutes& solutes,
                               double water_g, const LiquidConvention& convention);

  std::vector<SpeciesAmount> amounts_;
  LiquidConvention convention_;
  double mass_g_ = 0.0, water_g_ = 0.0;
  std::vector<SoluteShare> shares_;
  bool has_sums_ = false;
};

}  // namespace nestcup
