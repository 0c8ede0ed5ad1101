// Aqueous solutions of the usual solutes: density and heat capacity after Laliberte's model.
//
// M. Laliberte, J. Chem. Eng. Data 54 (2009) 1725-1760. Equations, ranges and uncertainties:
// LIQUIDS.md; coefficients: laliberte.csv, embedded when the program is built.
#pragma once

#include <array>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/result.hpp"

namespace nestcup {

/// One property of one solute in water: coefficients, and where they were fitted.
template <std::size_t Count>
struct SoluteFit {
  std::array<double, Count> coefficients{};
  double lowest_degC = 0.0, highest_degC = 0.0;
  double most_w = 0.0;      ///< highest mass fraction
  double relative_u = 0.0;  ///< standard uncertainty of the solution's property, within the range
  double u_per_w = 0.0;     ///< the same for each unit of mass fraction, where all is a guess
};

/// A solute of the model.
struct LaliberteSolute {
  std::string formula;  ///< canonical, without phase: "MgCl2"
  double molar_mass_g_per_mol = 0.0;
  std::string cation, anion;     ///< "Mg+2", "Cl-"; empty for molecules (NH3, CH3COOH)
  int cations = 0, anions = 0;   ///< in one formula unit
  SoluteFit<5> density{};        ///< c0 to c4, degC and kg/m3
  SoluteFit<6> heat_capacity{};  ///< a1 to a6, degC and kJ/(kg K)
  /// The heat capacity is that of a like solute at the same amount, for want of coefficients.
  bool heat_capacity_is_estimate = false;
};

/// All solutes of laliberte.csv, in its order. Read once.
[[nodiscard]] const std::vector<LaliberteSolute>& laliberte_solutes();

/// The solute of this canonical formula without phase; null where the model has none.
[[nodiscard]] const LaliberteSolute* find_laliberte_solute(std::string_view formula);

/// Reads the table's text. @errors bad_data (line, what was expected)
[[nodiscard]] Result<std::vector<LaliberteSolute>> read_laliberte_table(std::string_view csv);

/// The apparent volume of a solute in solution, mL/g.
/// Outside of its range of temperatures the solute keeps the volume of the range's end; beyond its
/// highest mass fraction the equation is carried on.
/// @param all_solutes_w  mass fraction of all solutes together, 0 to 1
[[nodiscard]] double apparent_volume_mL_per_g(const LaliberteSolute& solute, double all_solutes_w,
                                              double degC);

/// The apparent heat capacity of a solute in solution, J/(g K); often negative. Ranges as above.
/// @param all_solutes_w  above 0
[[nodiscard]] double apparent_heat_capacity_J_per_g_K(const LaliberteSolute& solute,
                                                      double all_solutes_w, double degC);

/// A solute's part in a solution.
struct SoluteShare {
  const LaliberteSolute* solute = nullptr;
  double w = 0.0;  ///< mass fraction; negative in a sum of solutes that stands for another one
};

/// What the mixture's property is for given properties of water at the same temperature: density in
/// g/mL, heat capacity in J/(g K). The rest to 1 is water. No more than microseconds.
[[nodiscard]] double laliberte_density_g_per_mL(std::span<const SoluteShare> shares, double degC,
                                                double water_g_per_mL);
[[nodiscard]] double laliberte_heat_capacity_J_per_g_K(std::span<const SoluteShare> shares,
                                                       double degC, double water_J_per_g_K);

}  // namespace nestcup
