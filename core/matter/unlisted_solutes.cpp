#include "core/matter/unlisted_solutes.hpp"

namespace nestcup {
namespace {

/// As if the model had it: the same volume and heat capacity at any strength, and from -20 to
/// 110 degC (the exponential is 1 to 0.5 %).
LaliberteSolute constant_solute(const char* name, double mL_per_g, double J_per_g_K) {
  constexpr double lowest_degC = -20.0, middle_degC = 45.0, highest_degC = 110.0;
  LaliberteSolute solute;
  solute.formula = name;
  const double g_per_L = 1e3 / mL_per_g;
  solute.density = {{g_per_L, g_per_L, 1.0, 0.0, -middle_degC}, lowest_degC, highest_degC, 1.0};
  solute.heat_capacity = {{0.0, 0.0, 0.0, 0.0, J_per_g_K, 0.0}, lowest_degC, highest_degC, 1.0};
  solute.heat_capacity_is_estimate = true;
  return solute;
}

}  // namespace

const LaliberteSolute& unlisted_salt() {
  static const LaliberteSolute salt = [] {
    LaliberteSolute made = constant_solute("unlisted salt", 0.3, -0.5);
    made.density.u_per_w = 0.2;
    made.heat_capacity.u_per_w = 0.25;
    return made;
  }();
  return salt;
}

const LaliberteSolute& unlisted_molecule() {
  static const LaliberteSolute molecule = [] {
    LaliberteSolute made = constant_solute("unlisted molecule", 0.68, 1.7);
    made.density.u_per_w = 0.1;
    made.heat_capacity.u_per_w = 0.15;
    return made;
  }();
  return molecule;
}

}  // namespace nestcup
