// A sheet with a bit of everything, and ways to spoil it.
#pragma once

#include <string>
#include <vector>

#include "core/sheet/sheet_file.hpp"
#include "tests/catch.hpp"

namespace nestcup::testing {

inline const std::string day_sheet = R"toml([sheet]
title = "Magnesium oxide from its reactions with acid"
[calorimeter]
kind = "two nested foam cups, lid, stir bar"
constant_J_per_K = 31.5
u_constant_J_per_K = 2.0
volume_mL = 180
[[instrument]]
name = "pipette"
u_volume_mL = 0.06
calibrated = "to contain"
[[instrument]]
name = "balance"
u_mass_g = 0.002
[[stock]]
name = "acid"
substance = "HCl(aq)"
concentration_mol_per_L = 0.95
u_concentration_mol_per_L = 0.01
[[trial]]
name = "warm"
purpose = "calorimeter constant"
repeats = 3
cup = { substance = "water", volume_mL = 45.0, by = "pipette" }
added = { substance = "water", volume_mL = 55, temperature_degC = 58.4, u_temperature_K = 0.1 }
[[trial]]
name = "oxide"
purpose = "reaction"
equation = "MgO(s) + 2 H+(aq) -> Mg+2(aq) + H2O(l)"
cup = { stock = "acid", volume_mL = 100.0, by = "pipette", read_at_degC = 21.0 }
added = { substance = "MgO(s)", mass_g = 0.655, u_mass_g = 0.003, by = "balance" }
typed = [
  { cup_degC = 21.4, readings = [[20, 25.0], [40, 25.1]] },
  { cup_degC = 21.5, added_degC = 21.9, final_degC = 25.2, u_degC = 0.05 },
]
[[trial]]
name = "metal"
purpose = "reaction"
equation = "Mg(s) + 2 H+(aq) -> Mg+2(aq) + H2(g)"
cup = { stock = "acid", mass_g = 101.2, left_behind_g = 0.2, u_left_behind_g = 0.1 }
added = { substance = "Mg(s)", mass_g = 0.21 }
typed = { cup_degC = 21.0, added_degC = 21.0, final_degC = 30.2 }
[[trial]]
name = "coil"
purpose = "electrical calibration"
cup = { substance = "water", volume_mL = 100.0, left_behind_mL = 0.3, u_left_behind_mL = 0.1 }
heater = { voltage_V = 8.2, current_A = 1.15, time_s = 120, u_time_s = 0.2 }
[[trial]]
name = "block"
purpose = "heat capacity"
cup = { substance = "water", mass_g = 100.0 }
added = { substance = "brass block", mass_g = 61.5, temperature_degC = 99.2 }
[[trial]]
name = "ice"
purpose = "fusion"
cup = { substance = "water", volume_mL = 100.0 }
added = { substance = "ice", mass_g = 12.5 }
[cycle]
target = "Mg(s) + 1/2 O2(g) -> MgO(s)"
from = ["oxide", "metal"]
accepted = ["H2(g) + 1/2 O2(g) -> H2O(l)"]
accepted_kJ_per_mol = -601.6
u_accepted_kJ_per_mol = 0.3
base = "CODATA"
[conventions]
density_g_per_mL = 1.00
heat_capacity_J_per_g_K = 4.184
)toml";

/// One piece of the sheet replaced, and the problem that must come of it, the only one.
struct Wrong {
  std::string piece;
  std::string replacement;
  std::string start;
  std::string part;
};

inline std::string sheet_with(const std::string& piece, const std::string& replacement) {
  std::string text = day_sheet;
  const std::size_t at = text.find(piece);
  REQUIRE(at != std::string::npos);
  return text.replace(at, piece.size(), replacement);
}

inline void check_refused(const Wrong& wrong) {
  INFO(wrong.piece << " -> " << wrong.replacement);
  const SheetCheck check = check_sheet_text(sheet_with(wrong.piece, wrong.replacement), "day.toml");
  CHECK_FALSE(check.sheet.has_value());
  for (const Error& problem : check.problems) UNSCOPED_INFO(problem.text);
  REQUIRE(check.problems.size() == 1);
  CHECK(check.problems[0].kind == Fault::bad_data);
  CHECK_THAT(check.problems[0].text, StartsWith(wrong.start));
  CHECK_THAT(check.problems[0].text, ContainsSubstring(wrong.part));
}

}  // namespace nestcup::testing
