// What a sheet holds after reading.
#include "core/sheet/sheet_file.hpp"

#include "core/base/digest.hpp"
#include "tests/sheet/day_sheet.hpp"

using namespace nestcup;
using namespace nestcup::testing;

namespace {

Sheet whole() {
  const auto sheet = parse_sheet(day_sheet, "day.toml");
  INFO((sheet.ok() ? std::string() : sheet.error().text));
  REQUIRE(sheet.ok());
  return *sheet;
}

}  // namespace

TEST_CASE("a whole sheet is read") {
  const Sheet sheet = whole();
  CHECK(sheet.path == "day.toml");
  CHECK(sheet.title == "Magnesium oxide from its reactions with acid");
  CHECK(sheet.sha256 == sha256_hex(day_sheet));
  CHECK(sheet.sha256.size() == 64);
  CHECK(sheet.calorimeter.kind == "two nested foam cups, lid, stir bar");
  CHECK(sheet.calorimeter.constant_J_per_K == 31.5);
  CHECK(sheet.calorimeter.u_constant_J_per_K == 2.0);
  CHECK(sheet.calorimeter.volume_mL == 180.0);
  REQUIRE(sheet.trials.size() == 6);
  CHECK(sheet.find("metal") == &sheet.trials[2]);
  CHECK(sheet.find("medal") == nullptr);
  CHECK(sheet.trials[1].line == 26);
  REQUIRE(sheet.conventions.has_value());
  CHECK(sheet.conventions->density_g_per_mL == 1.00);
  CHECK(sheet.conventions->heat_capacity_J_per_g_K == 4.184);
}

TEST_CASE("what the trials of a sheet share is kept with its uncertainty") {
  const Sheet sheet = whole();
  REQUIRE(sheet.instruments.size() == 2);
  CHECK(sheet.instruments[0].name == "pipette");
  CHECK(sheet.instruments[0].u_volume_mL == 0.06);
  CHECK_FALSE(sheet.instruments[0].u_mass_g.has_value());
  CHECK(sheet.instruments[0].calibrated == Calibrated::to_contain);
  CHECK(sheet.instruments[1].u_mass_g == 0.002);
  CHECK(sheet.instruments[1].calibrated == Calibrated::to_deliver);
  REQUIRE(sheet.stocks.size() == 1);
  CHECK(sheet.stocks[0].name == "acid");
  CHECK(sheet.stocks[0].substance.text == "HCl(aq)");
  CHECK(sheet.stocks[0].concentration_mol_per_L == 0.95);
  CHECK(sheet.stocks[0].u_concentration_mol_per_L == 0.01);
  CHECK_FALSE(sheet.stocks[0].mass_fraction.has_value());
}

TEST_CASE("the contents of a trial's vessels are kept") {
  const Sheet sheet = whole();
  const SheetTrial& warm = sheet.trials[0];
  CHECK(warm.purpose == Purpose::calorimeter_constant);
  CHECK(warm.repeats == 3);
  CHECK_FALSE(warm.equation.has_value());
  REQUIRE(warm.cup.has_value());
  CHECK(warm.cup->substance_text == "water");
  CHECK(warm.cup->substance->text == "H2O(l)");
  CHECK(warm.cup->volume_mL == 45.0);
  CHECK(warm.cup->instrument == 0u);
  CHECK_FALSE(warm.cup->mass_g.has_value());
  CHECK_FALSE(warm.cup->temperature_degC.has_value());
  REQUIRE(warm.added.has_value());
  CHECK(warm.added->volume_mL == 55.0);
  CHECK(warm.added->temperature_degC == 58.4);
  CHECK(warm.added->u_temperature_K == 0.1);
  CHECK_FALSE(warm.added->instrument.has_value());
  const SheetTrial& oxide = sheet.trials[1];
  CHECK(oxide.cup->stock == 0u);
  CHECK(oxide.cup->substance_text.empty());
  CHECK_FALSE(oxide.cup->substance.has_value());
  CHECK(oxide.cup->read_at_degC == 21.0);
  CHECK(oxide.added->substance->text == "MgO(s)");
  CHECK(oxide.added->mass_g == 0.655);
  CHECK(oxide.added->u_mass_g == 0.003);
  CHECK(oxide.added->instrument == 1u);
  CHECK(sheet.trials[2].cup->left_behind_g == 0.2);
  CHECK(sheet.trials[2].cup->u_left_behind_g == 0.1);
  CHECK(sheet.trials[3].cup->left_behind_mL == 0.3);
  CHECK(sheet.trials[3].cup->u_left_behind_mL == 0.1);
}

TEST_CASE("a solid whose heat capacity is wanted may have any name") {
  const Sheet sheet = whole();
  const Contents& block = *sheet.trials[4].added;
  CHECK(block.substance_text == "brass block");
  CHECK_FALSE(block.substance.has_value());
  CHECK(block.mass_g == 61.5);
  CHECK(sheet.trials[5].added->substance->text == "H2O(s)");
  const auto known = parse_sheet(sheet_with("brass block", "Cu(s)"), "day.toml");
  REQUIRE(known.ok());
  CHECK(known->trials[4].added->substance->text == "Cu(s)");
}

TEST_CASE("equation, heater and runs on paper are kept") {
  const Sheet sheet = whole();
  const SheetTrial& oxide = sheet.trials[1];
  REQUIRE(oxide.equation.has_value());
  CHECK(oxide.equation->text == "MgO(s) + 2 H+(aq) -> Mg+2(aq) + H2O(l)");
  REQUIRE(oxide.typed.size() == 2);
  CHECK(oxide.typed[0].cup_degC == 21.4);
  CHECK_FALSE(oxide.typed[0].final_degC.has_value());
  REQUIRE(oxide.typed[0].readings.size() == 2);
  CHECK(oxide.typed[0].readings[1].after_mixing_s == 40.0);
  CHECK(oxide.typed[0].readings[1].degC == 25.1);
  CHECK(oxide.typed[1].added_degC == 21.9);
  CHECK(oxide.typed[1].final_degC == 25.2);
  CHECK(oxide.typed[1].u_degC == 0.05);
  CHECK(sheet.trials[2].typed.size() == 1);
  const SheetTrial& coil = sheet.trials[3];
  REQUIRE(coil.heater.has_value());
  CHECK(coil.heater->voltage_V == 8.2);
  CHECK(coil.heater->current_A == 1.15);
  CHECK(coil.heater->time_s == 120.0);
  CHECK(coil.heater->u_time_s == 0.2);
  CHECK_FALSE(coil.heater->u_voltage_V.has_value());
  CHECK_FALSE(coil.added.has_value());
}

TEST_CASE("the cycle is kept") {
  const Sheet sheet = whole();
  REQUIRE(sheet.cycle.has_value());
  CHECK(sheet.cycle->target.text == "Mg(s) + 1/2 O2(g) -> MgO(s)");
  CHECK(sheet.cycle->from == std::vector<std::size_t>{1, 2});
  REQUIRE(sheet.cycle->accepted.size() == 1);
  CHECK(sheet.cycle->accepted[0].text == "H2(g) + 1/2 O2(g) -> H2O(l)");
  CHECK(sheet.cycle->accepted_kJ_per_mol == -601.6);
  CHECK(sheet.cycle->u_accepted_kJ_per_mol == 0.3);
  CHECK(sheet.cycle->base == "CODATA");
  CHECK(sheet.cycle->line == 58);
}

TEST_CASE("a constant may come from a reference reaction, with or without its enthalpy") {
  const std::string plain = "purpose = \"calorimeter constant\"\nequation = \"MgO(s) + 2 H+(aq)";
  const std::string with_value =
      "purpose = \"calorimeter constant\"\nreference_kJ_per_mol = -151\n"
      "u_reference_kJ_per_mol = 2\nequation = \"MgO(s) + 2 H+(aq)";
  const std::string piece = "purpose = \"reaction\"\nequation = \"MgO(s) + 2 H+(aq)";
  const auto accepted = parse_sheet(sheet_with(piece, plain), "day.toml");
  REQUIRE(accepted.ok());
  CHECK(accepted->trials[1].equation.has_value());
  CHECK_FALSE(accepted->trials[1].reference_kJ_per_mol.has_value());
  const auto own = parse_sheet(sheet_with(piece, with_value), "day.toml");
  REQUIRE(own.ok());
  CHECK(own->trials[1].reference_kJ_per_mol == -151.0);
  CHECK(own->trials[1].u_reference_kJ_per_mol == 2.0);
}

TEST_CASE("a stock may be told by its mass fraction") {
  const auto sheet =
      parse_sheet(sheet_with("concentration_mol_per_L = 0.95\nu_concentration_mol_per_L = 0.01",
                             "mass_fraction = 0.034\nu_mass_fraction = 0.0002"),
                  "day.toml");
  REQUIRE(sheet.ok());
  CHECK(sheet->stocks[0].mass_fraction == 0.034);
  CHECK(sheet->stocks[0].u_mass_fraction == 0.0002);
  CHECK_FALSE(sheet->stocks[0].concentration_mol_per_L.has_value());
}

TEST_CASE("words of a sheet read back as it writes them") {
  CHECK(purpose_text(Purpose::calorimeter_constant) == "calorimeter constant");
  CHECK(purpose_text(Purpose::reaction) == "reaction");
  CHECK(purpose_text(Purpose::heat_capacity) == "heat capacity");
  CHECK(purpose_text(Purpose::fusion) == "fusion");
  CHECK(purpose_text(Purpose::electrical_calibration) == "electrical calibration");
  CHECK(calibrated_text(Calibrated::to_deliver) == "to deliver");
  CHECK(calibrated_text(Calibrated::to_contain) == "to contain");
}

TEST_CASE("a sheet needs no more than a title") {
  const auto sheet = parse_sheet("[sheet]\ntitle = \"Ice\"\n", "day.toml");
  REQUIRE(sheet.ok());
  CHECK(sheet->trials.empty());
  CHECK_FALSE(sheet->calorimeter.constant_J_per_K.has_value());
  CHECK_FALSE(sheet->cycle.has_value());
  CHECK_FALSE(sheet->conventions.has_value());
}

TEST_CASE("a sheet that is not there") {
  const auto sheet = read_sheet("/nonexistent/day.toml");
  REQUIRE_FALSE(sheet.ok());
  CHECK(sheet.error().kind == Fault::no_input);
  CHECK_THAT(sheet.error().text, ContainsSubstring("/nonexistent/day.toml"));
}
