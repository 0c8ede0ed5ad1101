// What can be wrong with a sheet beside its trials: one problem each, with line and key.
#include "tests/sheet/day_sheet.hpp"

using namespace nestcup;
using namespace nestcup::testing;

TEST_CASE("a sheet's head: what is wrong, with line and key") {
  const std::vector<Wrong> table{
      {"title = \"Magnesium oxide from its reactions with acid\"", "",
       "day.toml:1: [sheet] title: is missing", "in a few words"},
      {"title = \"Magnesium", "title = \"\\u001BMagnesium",
       "day.toml:2: [sheet] title: has a line end or another control character", "plain"},
      {"title =", "title", "day.toml:2: is no TOML here: ", "toml.io"},
      {"constant_J_per_K = 31.5", "constant_J_per_K = -1",
       "day.toml:5: [calorimeter] constant_J_per_K: is -1", "at least 0"},
      {"constant_J_per_K = 31.5", "constant = 31.5",
       "day.toml:5: [calorimeter] constant: has no unit", "did you mean constant_J_per_K?"},
      {"constant_J_per_K = 31.5\n", "",
       "day.toml:5: [calorimeter] u_constant_J_per_K: stands alone", "beside constant_J_per_K"},
      {"u_constant_J_per_K = 2.0", "u_constant_J_per_K = 0",
       "day.toml:6: [calorimeter] u_constant_J_per_K: is 0", "more than 0"},
      {"kind = \"two nested foam cups, lid, stir bar\"", "kind = 2",
       "day.toml:4: [calorimeter] kind: is a whole number", "a text"},
  };
  for (const Wrong& wrong : table) check_refused(wrong);
}

TEST_CASE("a sheet without its head says so, and that the other is none") {
  const auto check = check_sheet_text(sheet_with("[sheet]", "[shet]"), "day.toml");
  REQUIRE(check.problems.size() == 2);
  CHECK_THAT(check.problems[0].text, StartsWith("day.toml:1: [sheet] is missing"));
  CHECK_THAT(check.problems[1].text, ContainsSubstring("did you mean sheet?"));
}

TEST_CASE("a sheet's instruments: what is wrong, with line and key") {
  const std::vector<Wrong> table{
      {"calibrated = \"to contain\"", "calibrated = \"TC\"",
       "day.toml:11: [[instrument]] calibrated: \"TC\"", "\"to deliver\" or \"to contain\""},
      {"u_volume_mL = 0.06", "u_volume_mL = -0.06",
       "day.toml:10: [[instrument]] u_volume_mL: is -0.06", "more than 0"},
      {"u_volume_mL = 0.06", "u_volume_L = 0.06",
       "day.toml:10: [[instrument]] u_volume_L: is not known", "did you mean u_volume_mL?"},
      {"u_volume_mL = 0.06", "u_volume = 0.06", "day.toml:10: [[instrument]] u_volume: has no unit",
       "did you mean u_volume_mL?"},
      {"name = \"balance\"\nu_mass_g = 0.002", "name = \"balance\"\nu_mass_g = 0.002\nname2 = \"\"",
       "day.toml:15: [[instrument]] name2: is not known", "did you mean name?"},
  };
  for (const Wrong& wrong : table) check_refused(wrong);
}

TEST_CASE("a sheet's stocks: what is wrong, with line and key") {
  const std::string strength = "concentration_mol_per_L = 0.95\nu_concentration_mol_per_L = 0.01";
  const std::vector<Wrong> table{
      {"concentration_mol_per_L = 0.95", "concentration_mol_per_L = 0",
       "day.toml:18: [[stock]] concentration_mol_per_L: is 0", "more than 0"},
      {strength, "concentration = 0.95", "day.toml:18: [[stock]] concentration: has no unit",
       "did you mean concentration_mol_per_L?"},
      {strength, "",
       "day.toml:15: [[stock]]: has neither concentration_mol_per_L nor mass_fraction",
       "one of them"},
      {strength, strength + "\nmass_fraction = 0.03",
       "day.toml:15: [[stock]]: has both concentration_mol_per_L and mass_fraction", "one of them"},
      {strength, "mass_fraction = 3.4", "day.toml:18: [[stock]] mass_fraction: is 3.4",
       "at most 1"},
      {strength, strength + "\nu_mass_fraction = 0.1",
       "day.toml:20: [[stock]] u_mass_fraction: stands alone", "beside mass_fraction"},
      {"substance = \"HCl(aq)\"", "substance = \"HCl(g)\"",
       "day.toml:17: [[stock]] substance: is no solution", "(aq)"},
      {"substance = \"HCl(aq)\"", "substance = \"H+(aq)\"",
       "day.toml:17: [[stock]] substance: is an ion", "HCl(aq)"},
      {"substance = \"HCl(aq)\"", "substance = \"HCl\"",
       "day.toml:17: [[stock]] substance: \"HCl\" has no phase", "(aq)"},
      {"substance = \"HCl(aq)\"", "substance = \"HKl(aq)\"",
       "day.toml:17: [[stock]] substance: ", "Kl"},
  };
  for (const Wrong& wrong : table) check_refused(wrong);
}

TEST_CASE("a sheet's cycle and conventions: what is wrong, with line and key") {
  const std::vector<Wrong> table{
      {"from = [\"oxide\", \"metal\"]", "from = [\"oxide\", \"metl\"]",
       "day.toml:60: [cycle] from: \"metl\" is no [[trial]]", "did you mean \"metal\"?"},
      {"from = [\"oxide\", \"metal\"]", "from = [\"oxide\", \"coil\"]",
       "day.toml:60: [cycle] from: \"coil\" has no equation", "that have one"},
      {"from = [\"oxide\", \"metal\"]", "from = [\"oxide\", \"oxide\"]",
       "day.toml:60: [cycle] from: \"oxide\" is there twice", "only once"},
      {"from = [\"oxide\", \"metal\"]\n", "", "day.toml:58: [cycle] from: is missing", "trials"},
      {"from = [\"oxide\", \"metal\"]", "from = \"oxide\"", "day.toml:60: [cycle] from: is a text",
       "a list"},
      {"accepted = [\"H2(g) + 1/2 O2(g) -> H2O(l)\"]", "accepted = [1]",
       "day.toml:61: [cycle] accepted: holds a whole number", "texts"},
      {"accepted = [\"H2(g) + 1/2 O2(g) -> H2O(l)\"]", "accepted = [\"H2(g) + O2(g) -> H2O(l)\"]",
       "day.toml:61: [cycle] accepted: equation \"H2(g) + O2(g) -> H2O(l)\": not balanced",
       "O 2 on the left, 1 on the right"},
      {"target = \"Mg(s) + 1/2 O2(g) -> MgO(s)\"", "target = \"\"",
       "day.toml:59: [cycle] target: is empty", "equation"},
      {"target = \"Mg(s) + 1/2 O2(g) -> MgO(s)\"", "target = \"Mg(s) + 1/2 O2(g)\"",
       "day.toml:59: [cycle] target: equation \"Mg(s) + 1/2 O2(g)\": ", "->"},
      {"accepted_kJ_per_mol = -601.6\n", "",
       "day.toml:62: [cycle] u_accepted_kJ_per_mol: stands alone", "accepted_kJ_per_mol"},
      {"accepted_kJ_per_mol = -601.6", "accepted_kJ = -601.6",
       "day.toml:62: [cycle] accepted_kJ: has no unit", "did you mean accepted_kJ_per_mol?"},
      {"density_g_per_mL = 1.00", "density_g_per_mL = -1", "day.toml:66: [conventions] density",
       "more than 0"},
      {"density_g_per_mL = 1.00", "density = 1", "day.toml:66: [conventions] density: has no unit",
       "did you mean density_g_per_mL?"},
      {"[conventions]", "[convention]", "day.toml:65: convention: is not known here",
       "did you mean conventions?"},
  };
  for (const Wrong& wrong : table) check_refused(wrong);
}
