// Substances by their everyday name, and what becomes of them in water.
#pragma once

#include <string_view>
#include <vector>

#include "core/base/result.hpp"
#include "core/matter/formula.hpp"

namespace nestcup {

/// The substance of a usual name ("water" is H2O(l), "ice" H2O(s)) or of a formula.
/// @errors bad_data (what is wrong, and the nearest names or elements)
[[nodiscard]] Result<Formula> substance(std::string_view name_or_formula);

/// One kind of particle out of a dissolved substance.
struct Particle {
  int count = 1;  ///< per formula of the substance
  Formula species;
};

/// What a dissolved substance, phase (aq), consists of in water. Strong electrolytes are wholly
/// their ions: HCl, HBr, HI, HNO3 and HClO4; of H2SO4 the first proton alone (H+ and HSO4-, as for
/// hydrogensulfates); hydroxides of Li, Na, K, Rb, Cs, Mg, Ca, Sr, Ba; and salts of one usual
/// cation with one usual anion, recognised by composition and neutrality. Water of crystallisation
/// becomes H2O(l). All else (weak acids, NH3, CO2, ions, other phases, double salts) stays as it
/// is.
/// @return the particles, cation first; `formula` alone where it stays whole
[[nodiscard]] std::vector<Particle> dissociated(const Formula& formula);

}  // namespace nestcup
