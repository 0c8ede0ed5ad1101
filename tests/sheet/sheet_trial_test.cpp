// What can be wrong with the trials of a sheet: one problem each, with line and key.
#include "tests/sheet/day_sheet.hpp"

using namespace nestcup;
using namespace nestcup::testing;

TEST_CASE("a trial's own keys: what is wrong, with line and key") {
  const std::vector<Wrong> table{
      {"name = \"block\"", "name = \"coil\"",
       "day.toml:49: [[trial]] name: \"coil\" is there twice", "only once"},
      {"name = \"block\"\n", "", "day.toml:48: [[trial]] name: is missing", "short name"},
      {"purpose = \"reaction\"", "purpose = \"reacton\"",
       "day.toml:28: [[trial]] purpose: ", "did you mean \"reaction\"?"},
      {"purpose = \"heat capacity\"", "purpose = \"heat\"",
       "day.toml:50: [[trial]] purpose: \"heat\" is not known", "\"heat capacity\""},
      {"purpose = \"reaction\"\n", "", "day.toml:26: [[trial]] purpose: is missing", "\"fusion\""},
      {"repeats = 3", "repeats = 0", "day.toml:23: [[trial]] repeats: is 0", "at least 1"},
      {"repeats = 3", "repeats = 2.5", "day.toml:23: [[trial]] repeats: is a number",
       "a whole number"},
      {"repeats = 3", "repeat = 3", "day.toml:23: [[trial]] repeat: is not known",
       "did you mean repeats?"},
  };
  for (const Wrong& wrong : table) check_refused(wrong);
}

TEST_CASE("a trial's contents: what is wrong, with line and key") {
  const std::vector<Wrong> table{
      {"cup = { stock = \"acid\"", "cup = { stock = \"acd\"",
       "day.toml:30: [[trial]] cup.stock: \"acd\" is no [[stock]]", "did you mean \"acid\"?"},
      {"by = \"pipette\"", "by = \"burette\"", "day.toml:24: [[trial]] cup.by: \"burette\" is no",
       "\"pipette\" or \"balance\""},
      {"by = \"pipette\"", "by = \"balance\"", "day.toml:24: [[trial]] cup.by: \"balance\" has u_m",
       "one for volumes"},
      {"by = \"balance\"", "by = \"pipette\"", "day.toml:31: [[trial]] added.by: \"pipette\" has u",
       "one for masses"},
      {"mass_g = 0.655", "mass_g = 0.0", "day.toml:31: [[trial]] added.mass_g: is 0", "more than"},
      {"mass_g = 0.655", "mass_g = -2", "day.toml:31: [[trial]] added.mass_g: is -2", "more than"},
      {"mass_g = 0.655", "mass_g = inf", "day.toml:31: [[trial]] added.mass_g: is inf", "at most"},
      {"mass_g = 0.655", "mass_g = \"0.655\"", "day.toml:31: [[trial]] added.mass_g: is a text",
       "a number"},
      {"u_mass_g = 0.003", "u_mass_g = 0", "day.toml:31: [[trial]] added.u_mass_g: is 0",
       "more than 0"},
      {"u_mass_g = 0.003", "u_volume_mL = 0.003",
       "day.toml:31: [[trial]] added.u_volume_mL: stands alone", "beside volume_mL"},
      {"volume_mL = 45.0", "volume = 45.0", "day.toml:24: [[trial]] cup.volume: has no unit",
       "did you mean volume_mL?"},
      {"volume_mL = 45.0, by = \"pipette\"", "volume_ml = 45.0, mass_g = 45",
       "day.toml:24: [[trial]] cup.volume_ml: is not known", "did you mean volume_mL?"},
      {"volume_mL = 45.0, ", "", "day.toml:24: [[trial]] cup: has neither volume_mL nor mass_g",
       "one of them"},
      {"volume_mL = 45.0", "volume_mL = 45.0, mass_g = 45",
       "day.toml:24: [[trial]] cup: has both volume_mL and mass_g", "one of them"},
      {"volume_mL = 45.0", "volume_mL = 45.0, colour = 1",
       "day.toml:24: [[trial]] cup.colour: ", "is not known here"},
      {"{ substance = \"Mg(s)\"", "{ stock = \"acid\", substance = \"Mg(s)\"",
       "day.toml:41: [[trial]] added: has both substance and stock", "one of them"},
      {"mass_g = 0.21", "volume_mL = 0.21", "day.toml:41: [[trial]] added.volume_mL: says little",
       "expected mass_g"},
      {"temperature_degC = 58.4", "temperature_degC = -300",
       "day.toml:25: [[trial]] added.temperature_degC: is -300", "-273.15"},
      {"read_at_degC = 21.0", "temperature_degC = 180",
       "day.toml:30: [[trial]] cup.temperature_degC: is 180", "at most 150"},
      {"temperature_degC = 58.4, ", "",
       "day.toml:25: [[trial]] added.u_temperature_K: stands alone", "temperature_degC"},
      {"read_at_degC = 21.0", "read_at_degC = 200", "day.toml:30: [[trial]] cup.read_at_degC: is 2",
       "at most 150"},
      {"left_behind_g = 0.2", "left_behind_g = 101.2",
       "day.toml:40: [[trial]] cup.left_behind_g: is 101.2", "less than the whole"},
      {"left_behind_g = 0.2", "left_behind_mL = 0.2", "day.toml:40: [[trial]] cup.",
       "stands alone"},
  };
  for (std::size_t i = 0; i + 1 < table.size(); ++i) check_refused(table[i]);
  // Two keys of one mistake: what was left behind, and its uncertainty.
  const Wrong& both = table.back();
  const auto check = check_sheet_text(sheet_with(both.piece, both.replacement), "day.toml");
  REQUIRE(check.problems.size() == 2);
  CHECK_THAT(check.problems[0].text, StartsWith(both.start));
  CHECK_THAT(check.problems[1].text, StartsWith(both.start));
}

TEST_CASE("a trial's substances: what is wrong, with line and key") {
  const std::vector<Wrong> table{
      {"\"MgO(s)\"", "\"MgO\"", "day.toml:31: [[trial]] added.substance: \"MgO\" has no phase",
       "(s)"},
      {"\"MgO(s)\"", "\"\"", "day.toml:31: [[trial]] added.substance: is empty", "water"},
      {"\"MgO(s)\"", "\"Mq(s)\"", "day.toml:31: [[trial]] added.substance: ", "Mq"},
      {"\"MgO(s)\"", "\"MgCl2(aq)\"", "day.toml:31: [[trial]] added.substance: \"MgCl2(aq)\" is a",
       "[[stock]]"},
      {"\"MgO(s)\"", "\"ZnO(s)\"", "day.toml:29: [[trial]] equation: wants MgO(s)",
       "they supply H+(aq), Cl-(aq), HCl(aq), H2O(l), ZnO(s)"},
      {"\"MgO(s)\"", "\"Cl2(g)\"", "day.toml:31: [[trial]] added.substance: \"Cl2(g)\" is a gas",
       "a liquid or a solid"},
      {"\"MgO(s)\"", "\"Mg+2(s)\"", "day.toml:31: [[trial]] added.substance: \"Mg+2(s)\" is an",
       "a whole substance"},
      {"substance = \"water\"", "substance = \"watr\"",
       "day.toml:24: [[trial]] cup.substance: ", "water"},
      {"brass block", "brass\\nblock", "day.toml:52: [[trial]] added.substance: has a line end",
       "one plain line"},
      {"{ substance = \"water\", mass_g = 100.0 }", "{ substance = \"ice\", mass_g = 100.0 }",
       "day.toml:51: [[trial]] cup: holds a solid", "added"},
      {"mass_g = 12.5", "mass_g = 12.5, temperature_degC = 4",
       "day.toml:57: [[trial]] added: is ice at 4 degC", "0 degC"},
      {"substance = \"ice\"", "substance = \"water\"", "day.toml:57: [[trial]] added: is no ice",
       "\"ice\""},
      {"substance = \"water\", volume_mL = 55", "stock = \"acid\", volume_mL = 55",
       "day.toml:25: [[trial]] added: is no water", "reference reaction"},
      {"substance = \"brass block\", mass_g = 61.5", "substance = \"water\", mass_g = 61.5",
       "day.toml:52: [[trial]] added: is no solid by mass", "brass block"},
      {"substance = \"brass block\", mass_g = 61.5", "substance = \"brass block\", volume_mL = 7",
       "day.toml:52: [[trial]] added: is no solid by mass", "brass block"},
  };
  for (const Wrong& wrong : table) check_refused(wrong);
}

TEST_CASE("a trial's equation: what is wrong, with line and key") {
  const std::vector<Wrong> table{
      {"MgO(s) + 2 H+(aq)", "MgO(s) + H+(aq)",
       "day.toml:29: [[trial]] equation: ", "H 1 on the left, 2 on the right"},
      {"Mg+2(aq) + H2O(l)", "Mg+(aq) + H2O(l)", "day.toml:29: [[trial]] equation: ", "charge"},
      {"MgO(s) + 2 H+(aq)", "MgQ(s) + 2 H+(aq)", "day.toml:29: [[trial]] equation: ", "Q"},
      {"equation = \"MgO(s) + 2 H+(aq) -> Mg+2(aq) + H2O(l)\"",
       "equation = \"MgO(s) + 2 OH-(aq) -> Mg+2(aq) + H2O(l) + O2(g) + 4 e-\"",
       "day.toml:29: [[trial]] equation: ", "wants OH-(aq)"},
      {"equation = \"MgO(s) + 2 H+(aq) -> Mg+2(aq) + H2O(l)\"", "equation = \"MgO(s) -> MgO(s)\"",
       "day.toml:29: [[trial]] equation: has the same on both sides", "a change"},
      {"purpose = \"fusion\"", "purpose = \"fusion\"\nequation = \"H2O(s) -> H2O(l)\"",
       "day.toml:56: [[trial]] equation: has no place", "\"fusion\""},
      {"purpose = \"reaction\"\n", "purpose = \"reaction\"\nreference_kJ_per_mol = -3\n",
       "day.toml:29: [[trial]] reference_kJ_per_mol: has no place", "\"reaction\""},
      {"purpose = \"calorimeter constant\"",
       "purpose = \"calorimeter constant\"\nreference_kJ_per_mol = -57",
       "day.toml:23: [[trial]] reference_kJ_per_mol: stands alone", "equation"},
  };
  for (const Wrong& wrong : table) check_refused(wrong);
}

TEST_CASE("what a trial's purpose needs is missed by name") {
  const std::vector<Wrong> table{
      {"cup = { substance = \"water\", volume_mL = 45.0, by = \"pipette\" }\n", "",
       "day.toml:20: [[trial]] cup: is missing", "\"calorimeter constant\""},
      {"added = { substance = \"water\", volume_mL = 55, temperature_degC = 58.4, u_temperature_K "
       "= "
       "0.1 }",
       "", "day.toml:20: [[trial]] added: is missing", "\"calorimeter constant\""},
      {"added = { substance = \"Mg(s)\", mass_g = 0.21 }\n", "",
       "day.toml:36: [[trial]] added: is missing", "\"reaction\""},
      {"added = { substance = \"ice\", mass_g = 12.5 }\n", "",
       "day.toml:53: [[trial]] added: is missing", "\"fusion\""},
      {"heater = { voltage_V = 8.2, current_A = 1.15, time_s = 120, u_time_s = 0.2 }\n", "",
       "day.toml:43: [[trial]] heater: is missing", "voltage_V"},
      {"voltage_V = 8.2, ", "", "day.toml:47: [[trial]] heater.voltage_V: is missing", "a number"},
      {"voltage_V = 8.2", "voltage = 8.2", "day.toml:47: [[trial]] heater.voltage: has no unit",
       "did you mean voltage_V?"},
      {"u_time_s = 0.2", "u_time_s = 0", "day.toml:47: [[trial]] heater.u_time_s: is 0",
       "more than"},
      {"purpose = \"fusion\"",
       "purpose = \"fusion\"\nheater = { voltage_V = 8, current_A = 1, time_s = 9 }",
       "day.toml:56: [[trial]] heater: has no place", "\"fusion\""},
      {"heater = { volt", "added = { substance = \"water\", mass_g = 3 }\nheater = { volt",
       "day.toml:47: [[trial]] added: has no place", "\"electrical calibration\""},
  };
  for (const Wrong& wrong : table) check_refused(wrong);
}

TEST_CASE("a reaction without an equation is missed, and the cycle that wants it too") {
  const auto check = check_sheet_text(
      sheet_with("equation = \"MgO(s) + 2 H+(aq) -> Mg+2(aq) + H2O(l)\"\n", ""), "day.toml");
  REQUIRE(check.problems.size() == 2);
  CHECK_THAT(check.problems[0].text, StartsWith("day.toml:26: [[trial]] equation: is missing"));
  CHECK_THAT(check.problems[1].text, StartsWith("day.toml:59: [cycle] from: \"oxide\" has no eq"));
}

TEST_CASE("runs on paper: what is wrong, with line and key") {
  const std::vector<Wrong> table{
      {", final_degC = 30.2", "", "day.toml:42: [[trial]] typed: has neither final_degC nor",
       "one of them"},
      {"final_degC = 30.2", "final = 30.2", "day.toml:42: [[trial]] typed.final: has no unit",
       "did you mean final_degC?"},
      {"final_degC = 30.2", "final_degC = 302", "day.toml:42: [[trial]] typed.final_degC: is 302",
       "at most 150"},
      {"cup_degC = 21.0, ", "", "day.toml:42: [[trial]] typed.cup_degC: is missing", "a number"},
      {"u_degC = 0.05", "u_degC = -1", "day.toml:34: [[trial]] typed[2].u_degC: is -1",
       "more than 0"},
      {"[40, 25.1]", "[20, 25.1]", "day.toml:33: [[trial]] typed[1].readings: has a wrong pair 2",
       "rising times"},
      {"[40, 25.1]", "[40]", "day.toml:33: [[trial]] typed[1].readings: has a wrong pair 2",
       "degC"},
      {"[40, 25.1]", "[40, 251]", "day.toml:33: [[trial]] typed[1].readings: has a wrong pair 2",
       "150 degC"},
      {", [40, 25.1]", "", "day.toml:33: [[trial]] typed[1].readings: has too few", "at least two"},
      {"typed = { cup_degC = 21.0, added_degC = 21.0, final_degC = 30.2 }", "typed = 30.2",
       "day.toml:42: [[trial]] typed: is a number", "curly brackets"},
      {"typed = { cup_degC = 21.0, added_degC = 21.0, final_degC = 30.2 }", "typed = [30.2]",
       "day.toml:42: [[trial]] typed: is a number", "curly brackets"},
      {"added = { substance = \"brass block\", mass_g = 61.5, temperature_degC = 99.2 }",
       "added = { substance = \"brass block\", mass_g = 61.5 }\n"
       "typed = { cup_degC = 20, final_degC = 23 }",
       "day.toml:53: [[trial]] typed: has no added_degC", "temperature_degC"},
  };
  for (const Wrong& wrong : table) check_refused(wrong);
}

TEST_CASE("a liquid of unknown density goes in by mass") {
  const auto checked = [](const std::string& amount) {
    return check_sheet_text(
        "[sheet]\ntitle = \"x\"\n[calorimeter]\nconstant_J_per_K = 30\n[[trial]]\nname = "
        "\"spirit\"\npurpose = \"reaction\"\nequation = \"C2H5OH(l) -> C2H5OH(aq)\"\ncup = { "
        "substance = \"water\", volume_mL = 100.0 }\nadded = { substance = \"C2H5OH(l)\", " +
            amount + " }\n",
        "day.toml");
  };
  CHECK(checked("mass_g = 4.0").problems.empty());
  const auto by_volume = checked("volume_mL = 5.0");
  REQUIRE(by_volume.problems.size() == 1);
  CHECK_THAT(by_volume.problems[0].text,
             StartsWith("day.toml:10: [[trial]] added.volume_mL: is of a liquid whose density"));
}
