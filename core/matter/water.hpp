// Water: density, heat capacity, vapour and ice, at the pressure of the atmosphere.
//
// All functions hold from 0 to 100 degC (ice: -100 to 0) and give nothing outside, nor for NaN.
// The constants named ..._relative_u are relative standard uncertainties (k = 1) of the formulas.
#pragma once

#include <optional>

namespace nestcup {

/// g/mol, from the conventional atomic weights (H 1.008, O 15.999).
inline constexpr double water_g_per_mol = 18.015;
inline constexpr double standard_atmosphere_kPa = 101.325;

/// Density of air-free water at 1 atm, g/mL.
/// G. S. Kell, J. Chem. Eng. Data 20 (1975) 97-105, on the scale of its table (IPTS-68: the
/// difference to ITS-90, up to 0.026 K, is worth 2e-5 at 100 degC and 1.5e-6 at 25 degC).
[[nodiscard]] std::optional<double> water_density_g_per_mL(double degC);
/// IAPWS-95 differs by at most 8e-6 up to 80 degC; air dissolved in water takes off up to 5e-6.
inline constexpr double water_density_relative_u = 1e-5;

/// Heat capacity at constant pressure, J/(g K).
/// IAPWS SR6-08(2011), "Revised Supplementary Release on Properties of Liquid Water at 0.1 MPa".
[[nodiscard]] std::optional<double> water_heat_capacity_J_per_g_K(double degC);
/// IAPWS states 0.1 % for IAPWS-95 (taken as k = 2), of which the release is a fit.
inline constexpr double water_heat_capacity_relative_u = 5e-4;

/// Pressure of saturated vapour, kPa (IAPWS-IF97, see core/base/steam_point.hpp).
[[nodiscard]] std::optional<double> water_vapour_pressure_kPa(double degC);
inline constexpr double water_vapour_pressure_relative_u = 2.5e-4;

/// Enthalpy of vaporisation along the saturation line, kJ/mol, by Clapeyron's equation from the
/// slope of the vapour pressure (IAPWS-IF97) and both densities (Kell; IAPWS SR1-86(1992)).
[[nodiscard]] std::optional<double> water_vaporisation_kJ_per_mol(double degC);
/// The value differs from that of IAPWS-95 by at most 1.2e-4.
inline constexpr double water_vaporisation_relative_u = 5e-4;

/// Heat (kJ, >= 0) that evaporating water takes from the liquid for each mol of dry gas that
/// leaves it saturated: p_w / (p - p_w) times the enthalpy of vaporisation; ideal mixture.
/// @param pressure_kPa  of gas and vapour together
/// @return nothing as well where the vapour's share would be 90 % or more
[[nodiscard]] std::optional<double> wet_gas_heat_kJ_per_mol(
    double degC, double pressure_kPa = standard_atmosphere_kPa);

/// Heat capacity of ice Ih, J/(g K), at 101.325 kPa. IAPWS R10-06(2009), "Equation of State 2006
/// for H2O Ice Ih". @param degC  -100 to 0
[[nodiscard]] std::optional<double> ice_heat_capacity_J_per_g_K(double degC);
inline constexpr double ice_heat_capacity_relative_u = 1e-2;

/// Enthalpy of fusion of ice at 0 degC and 101.325 kPa, J/g: enthalpy of water after IAPWS-95 less
/// that of ice after IAPWS R10-06(2009). Older tables give 333.55 (from memory), 0.04 % more, which
/// the uncertainty spans.
inline constexpr double ice_fusion_J_per_g = 333.42;
inline constexpr double ice_fusion_relative_u = 4e-4;

namespace unchecked {

/// The formulas as they are, for whoever carries them on beyond their range and says so.
[[nodiscard]] double water_density_g_per_mL(double degC);
/// Finite from -41 to 319 degC, of use from -20 to 110 degC (the release's own range).
[[nodiscard]] double water_heat_capacity_J_per_g_K(double degC);

}  // namespace unchecked

}  // namespace nestcup
