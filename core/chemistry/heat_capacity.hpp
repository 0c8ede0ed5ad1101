// The heat capacity of what a vessel holds.
#pragma once

#include <optional>

#include "core/chemistry/mixture.hpp"
#include "core/matter/solution.hpp"

namespace nestcup {

/// The sheet's conventions as liquids take them.
[[nodiscard]] LiquidConvention liquid_convention(const std::optional<Conventions>& conventions);

/// What a heat capacity rests on beside sound tables.
struct HeatCapacityFlags {
  bool extrapolated = false;  ///< a solution outside of the range of its coefficients
  bool estimated = false;     ///< a solute or a solid for which no value is tabulated

  HeatCapacityFlags& operator|=(const HeatCapacityFlags& other);
};

/// Heat capacity of a solid (or another pure substance) at 25 degC, J/(mol K): of ice and of the
/// table of accepted values, with a relative u of 2 % (taken as enough for these; no source); by
/// Kopp's rule where there is none, with 10 %: 26 J/(mol K) an atom, less for light ones (rounded
/// handbook figures, from memory: H 9.6, B 11, C 7.5, Si 16, O 17, F 21, P and S 23).
struct SolidHeatCapacity {
  double J_per_mol_K = 0.0;
  double relative_u = 0.0;
  bool estimated = false;
};
[[nodiscard]] SolidHeatCapacity solid_heat_capacity(const Formula& species);

/// Of ice at a temperature; below -100 degC and above 0 degC the value of that end is taken.
[[nodiscard]] Measured ice_J_per_g_K(const Measured& degC, Inputs& inputs);

/// J/K of everything together, on the average between two temperatures, by Simpson's rule: a sixth
/// of either end and two thirds of the middle, exact for heat capacities of the third degree. Water
/// alone bends so much that the middle is not enough: 0.04 % from 20 to 60 degC. Errors of the
/// tables are inputs that all mixtures of the same species share.
/// @param conventions  the sheet's; its heat capacity holds for all liquids
/// @param flags        is added to
[[nodiscard]] Measured heat_capacity_J_per_K(const Mixture& mixture, const Measured& from_degC,
                                             const Measured& to_degC,
                                             const std::optional<Conventions>& conventions,
                                             Inputs& inputs, HeatCapacityFlags& flags);

}  // namespace nestcup
