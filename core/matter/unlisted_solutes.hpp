// What stands in for solutes that Laliberte's model does not know.
#pragma once

#include "core/matter/laliberte.hpp"

namespace nestcup {

/// Ions in water: 0.3 mL/g and -0.5 J/(g K), the means of the model's salts at a mass fraction of
/// 0.06 and 25 degC, among which they scatter by 0.2 mL/g and 1.0 J/(g K).
[[nodiscard]] const LaliberteSolute& unlisted_salt();

/// Molecules in water: 0.68 mL/g and 1.7 J/(g K). Urea, TRIS, sugars and citric acid lie within
/// 0.59 to 0.75 mL/g and 1.5 to 1.9 J/(g K) (partial molar values at 25 degC, from memory).
[[nodiscard]] const LaliberteSolute& unlisted_molecule();

}  // namespace nestcup
