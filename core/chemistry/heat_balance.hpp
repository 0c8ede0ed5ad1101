// Where the heat went: contents, each from its own temperature, and the calorimeter from the cup's.
//
// Initial state: cup contents at T_cup, added contents at T_added. Final state: everything at
// T_final, as it would be without heat leak (T_final = T_cup + corrected rise). The path leads over
// everything at T_cup, where the reaction goes on; its enthalpy therefore belongs to T_cup, the
// products are warmed, and the heat capacity is the products' (Kirchhoff's law; state functions).
#pragma once

#include <optional>

#include "core/chemistry/heat_capacity.hpp"
#include "core/chemistry/mixture.hpp"
#include "core/chemistry/run_facts.hpp"

namespace nestcup {

/// One run with its amounts.
struct MixedRun {
  Measured cup_degC;
  Measured added_degC;
  Measured final_degC;
  Measured rise_K;
  Mixture cup;
  Mixture added;
  std::optional<Conventions> conventions;
};

/// Heat (J) that the contents took up, the calorimeter's share left out:
/// C_added (T_cup - T_added) + C_after (T_final - T_cup), each heat capacity the mean over its
/// span.
/// @param after  what is in the cup in the end
[[nodiscard]] Measured heat_of_contents_J(const MixedRun& run, const Mixture& after, Inputs& inputs,
                                          HeatCapacityFlags& flags);

/// Heat (J) that gas carries away as water vapour, saturated at the final temperature and under a
/// standard atmosphere; half of it taken as its uncertainty's full range, since gas may leave
/// before the end and less than saturated.
[[nodiscard]] Measured heat_of_wet_gas_J(const Measured& gas_mol, const Measured& final_degC,
                                         Inputs& inputs);

}  // namespace nestcup
