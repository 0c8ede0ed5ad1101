// Prints what core/matter says of water and ice, as JSON, for a comparison with another library.
#include <fmt/format.h>

#include "core/matter/water.hpp"

using namespace nestcup;

int main() {
  fmt::print("{{\"ice_fusion_J_per_g\":{},\"relative_u\":{{\"density\":{},\"heat_capacity\":{},",
             ice_fusion_J_per_g, water_density_relative_u, water_heat_capacity_relative_u);
  fmt::print("\"vapour_pressure\":{},\"vaporisation\":{},\"ice_fusion\":{}}},\"water\":[",
             water_vapour_pressure_relative_u, water_vaporisation_relative_u,
             ice_fusion_relative_u);
  for (int t = 1; t < 100; t += 3) {
    fmt::print("{}{{\"degC\":{},\"g_per_mL\":{},\"J_per_g_K\":{},\"kPa\":{},\"kJ_per_mol\":{}}}",
               t > 1 ? "," : "", t, *water_density_g_per_mL(t), *water_heat_capacity_J_per_g_K(t),
               *water_vapour_pressure_kPa(t), *water_vaporisation_kJ_per_mol(t));
  }
  fmt::print("],\"ice\":[");
  for (int t = -100; t <= 0; t += 5) {
    fmt::print("{}{{\"degC\":{},\"J_per_g_K\":{}}}", t > -100 ? "," : "", t,
               *ice_heat_capacity_J_per_g_K(t));
  }
  fmt::print("]}}\n");
  return 0;
}
