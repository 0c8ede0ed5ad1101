#include "core/sheet/sheet_file.hpp"

#include <vector>

#include "core/base/digest.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

const std::string whole_sheet = R"toml([sheet]
title = "Magnesium oxide from its reactions with acid"
[calorimeter]
kind = "two nested foam cups, lid, stir bar"
constant_J_per_K = 31.5
u_constant_J_per_K = 2.0
[[instrument]]
name = "pipette"
u_volume_mL = 0.06
calibrated = "to deliver"
[[stock]]
name = "acid"
substance = "HCl(aq)"
concentration_mol_per_L = 0.95
u_concentration_mol_per_L = 0.01
[[trial]]
name = "warm"
purpose = "calorimeter constant"
cup = { substance = "water", volume_mL = 45.0, by = "pipette" }
added = { substance = "water", volume_mL = 55, temperature_degC = 58.4 }
[[trial]]
name = "oxide"
purpose = "reaction"
equation = "MgO(s) + 2 H+(aq) -> Mg+2(aq) + H2O(l)"
cup = { stock = "acid", volume_mL = 100.0, by = "pipette" }
added = { substance = "MgO(s)", mass_g = 0.655, u_mass_g = 0.002 }
typed = { cup_degC = 21.4, readings = [[20, 25.0], [40, 25.1]] }
[[trial]]
name = "metal"
purpose = "reaction"
equation = "Mg(s) + 2 H+(aq) -> Mg+2(aq) + H2(g)"
cup = { stock = "acid", volume_mL = 100.0 }
added = { substance = "Mg(s)", mass_g = 0.21 }
typed = { cup_degC = 21.0, added_degC = 21.0, final_degC = 30.2 }
[[trial]]
name = "coil"
purpose = "electrical calibration"
cup = { substance = "water", volume_mL = 100.0 }
heater = { voltage_V = 8.2, current_A = 1.15, time_s = 120 }
[cycle]
target = "Mg(s) + 1/2 O2(g) -> MgO(s)"
from = ["oxide", "metal"]
accepted = ["H2(g) + 1/2 O2(g) -> H2O(l)"]
[conventions]
density_g_per_mL = 1.00
heat_capacity_J_per_g_K = 4.184
)toml";

/// The sheet with one piece of its text replaced.
std::string sheet_with(const std::string& piece, const std::string& replacement) {
  std::string text = whole_sheet;
  const std::size_t at = text.find(piece);
  REQUIRE(at != std::string::npos);
  return text.replace(at, piece.size(), replacement);
}

struct Wrong {
  std::string piece;
  std::string replacement;
  std::string start;
  std::string part;
};

void check_refused(const Wrong& wrong) {
  INFO(wrong.replacement);
  const auto sheet = parse_sheet(sheet_with(wrong.piece, wrong.replacement), "day.toml");
  REQUIRE_FALSE(sheet.ok());
  CHECK(sheet.error().kind == Fault::bad_data);
  CHECK_THAT(sheet.error().text, StartsWith(wrong.start));
  CHECK_THAT(sheet.error().text, ContainsSubstring(wrong.part));
}

}  // namespace

TEST_CASE("a whole sheet is read") {
  const auto sheet = parse_sheet(whole_sheet, "day.toml");
  INFO((sheet.ok() ? std::string() : sheet.error().text));
  REQUIRE(sheet.ok());
  CHECK(sheet->path == "day.toml");
  CHECK(sheet->title == "Magnesium oxide from its reactions with acid");
  CHECK(sheet->sha256 == sha256_hex(whole_sheet));
  CHECK(sheet->sha256.size() == 64);
  CHECK(sheet->constant_J_per_K == 31.5);
  REQUIRE(sheet->trials.size() == 4);
  CHECK(sheet->find("metal") == &sheet->trials[2]);
  CHECK(sheet->find("medal") == nullptr);
}

TEST_CASE("the trials of a sheet keep contents, equation and heater") {
  const auto sheet = parse_sheet(whole_sheet, "day.toml");
  REQUIRE(sheet.ok());
  const SheetTrial& warm = sheet->trials[0];
  CHECK(warm.purpose == Purpose::calorimeter_constant);
  CHECK(warm.equation.empty());
  REQUIRE(warm.cup.has_value());
  CHECK(warm.cup->substance == "water");
  CHECK(warm.cup->volume_mL == 45.0);
  CHECK_FALSE(warm.cup->mass_g.has_value());
  CHECK_FALSE(warm.cup->temperature_degC.has_value());
  REQUIRE(warm.added.has_value());
  CHECK(warm.added->volume_mL == 55.0);
  CHECK(warm.added->temperature_degC == 58.4);
  const SheetTrial& oxide = sheet->trials[1];
  CHECK(oxide.purpose == Purpose::reaction);
  CHECK(oxide.equation == "MgO(s) + 2 H+(aq) -> Mg+2(aq) + H2O(l)");
  CHECK(oxide.cup->stock == "acid");
  CHECK(oxide.cup->substance.empty());
  CHECK(oxide.added->mass_g == 0.655);
  const SheetTrial& coil = sheet->trials[3];
  CHECK(coil.purpose == Purpose::electrical_calibration);
  REQUIRE(coil.heater.has_value());
  CHECK(coil.heater->voltage_V == 8.2);
  CHECK(coil.heater->current_A == 1.15);
  CHECK(coil.heater->time_s == 120.0);
  CHECK_FALSE(coil.added.has_value());
}

TEST_CASE("purposes read back as the sheet writes them") {
  CHECK(purpose_text(Purpose::calorimeter_constant) == "calorimeter constant");
  CHECK(purpose_text(Purpose::reaction) == "reaction");
  CHECK(purpose_text(Purpose::heat_capacity) == "heat capacity");
  CHECK(purpose_text(Purpose::fusion) == "fusion");
  CHECK(purpose_text(Purpose::electrical_calibration) == "electrical calibration");
}

TEST_CASE("a sheet needs no more than a title") {
  const auto sheet = parse_sheet("[sheet]\ntitle = \"Ice\"\n", "day.toml");
  REQUIRE(sheet.ok());
  CHECK(sheet->trials.empty());
  CHECK_FALSE(sheet->constant_J_per_K.has_value());
}

TEST_CASE("a sheet's head: what is wrong, with line and key") {
  const std::vector<Wrong> table{
      {"[sheet]\ntitle", "[shet]\ntitle", "day.toml:1: [sheet] is missing", "title"},
      {"title = \"Magnesium oxide from its reactions with acid\"", "",
       "day.toml:1: [sheet] title: is missing", "in a few words"},
      {"constant_J_per_K = 31.5", "constant_J_per_K = -1", "day.toml:5: [calorimeter] constant_J",
       "at least 0"},
      {"constant_J_per_K = 31.5", "constant = 31.5",
       "day.toml:5: [calorimeter] constant: ", "is not known here"},
      {"calibrated = \"to deliver\"", "calibrated = \"TD\"", "day.toml:10: [[instrument]] calib",
       "\"to deliver\" or \"to contain\""},
      {"concentration_mol_per_L = 0.95", "concentration_mol_per_L = 0",
       "day.toml:14: [[stock]] concentration_mol_per_L: is 0", "more than 0"},
      {"concentration_mol_per_L = 0.95", "concentration = 0.95",
       "day.toml:11: [[stock]] concentration_mol_per_L: is missing", "a number"},
      {"title =", "title", "day.toml:2: is no TOML here: ", "toml.io"},
  };
  for (const Wrong& wrong : table) check_refused(wrong);
}

TEST_CASE("a sheet's trials: what is wrong, with line and key") {
  const std::vector<Wrong> table{
      {"name = \"oxide\"", "name = \"warm\"",
       "day.toml:22: [[trial]] name: \"warm\" is there twice", "only once"},
      {"purpose = \"reaction\"", "purpose = \"reacton\"",
       "day.toml:23: [[trial]] purpose: ", "did you mean \"reaction\"?"},
      {"purpose = \"reaction\"\n", "", "day.toml:21: [[trial]] purpose: is missing", "\"fusion\""},
      {"cup = { stock = \"acid\"", "cup = { stock = \"acd\"",
       "day.toml:25: [[trial]] cup.stock: \"acd\" is no [[stock]]", "did you mean \"acid\"?"},
      {"by = \"pipette\"", "by = \"burette\"", "day.toml:19: [[trial]] cup.by: \"burette\" is no",
       "\"pipette\""},
      {"mass_g = 0.655", "mass_g = 0.0", "day.toml:26: [[trial]] added.mass_g: is 0", "more than"},
      {"mass_g = 0.655", "mass_g = inf", "day.toml:26: [[trial]] added.mass_g: is inf", "at most"},
      {"mass_g = 0.655", "mass_g = \"0.655\"", "day.toml:26: [[trial]] added.mass_g: is a text",
       "a number"},
      {"volume_mL = 45.0", "volume = 45.0", "day.toml:19: [[trial]] cup: has neither volume_mL",
       "one of them"},
      {"volume_mL = 45.0", "volume_mL = 45.0, colour = 1",
       "day.toml:19: [[trial]] cup.colour: ", "is not known here"},
      {"{ substance = \"Mg(s)\"", "{ stock = \"acid\", substance = \"Mg(s)\"",
       "day.toml:33: [[trial]] added: has both substance and stock", "one of them"},
      {"temperature_degC = 58.4", "temperature_degC = -300",
       "day.toml:20: [[trial]] added.temperature_degC: is -300", "-273.15"},
      {"voltage_V = 8.2, ", "", "day.toml:39: [[trial]] heater.voltage_V: is missing", "a number"},
      {"heater = { voltage_V = 8.2, current_A = 1.15, time_s = 120 }", "",
       "day.toml:35: [[trial]] heater: is missing", "voltage_V"},
      {", final_degC = 30.2", "", "day.toml:34: [[trial]] typed: has neither final_degC nor",
       "one of them"},
      {"[40, 25.1]", "[20, 25.1]", "day.toml:27: [[trial]] typed.readings: has a wrong pair 2",
       "rising times"},
      {"[40, 25.1]", "[40]", "day.toml:27: [[trial]] typed.readings: has a wrong pair 2", "degC"},
      {", [40, 25.1]", "", "day.toml:27: [[trial]] typed.readings: has too few", "at least two"},
  };
  for (const Wrong& wrong : table) check_refused(wrong);
}

TEST_CASE("a sheet's cycle and conventions: what is wrong, with line and key") {
  const std::vector<Wrong> table{
      {"from = [\"oxide\", \"metal\"]", "from = [\"oxide\", \"metl\"]",
       "day.toml:42: [cycle] from: \"metl\" is no [[trial]]", "did you mean \"metal\"?"},
      {"from = [\"oxide\", \"metal\"]", "", "day.toml:40: [cycle] from: is missing", "trials"},
      {"from = [\"oxide\", \"metal\"]", "from = \"oxide\"", "day.toml:42: [cycle] from: is a text",
       "a list"},
      {"accepted = [\"H2(g) + 1/2 O2(g) -> H2O(l)\"]", "accepted = [1]",
       "day.toml:43: [cycle] accepted: holds a whole number", "texts"},
      {"density_g_per_mL = 1.00", "density_g_per_mL = -1", "day.toml:45: [conventions] density",
       "more than 0"},
      {"[conventions]", "[convention]", "day.toml:44: convention: is not known here",
       "did you mean conventions?"},
  };
  for (const Wrong& wrong : table) check_refused(wrong);
}

TEST_CASE("a sheet that is not there") {
  const auto sheet = read_sheet("/nonexistent/day.toml");
  REQUIRE_FALSE(sheet.ok());
  CHECK(sheet.error().kind == Fault::no_input);
  CHECK_THAT(sheet.error().text, ContainsSubstring("/nonexistent/day.toml"));
}
