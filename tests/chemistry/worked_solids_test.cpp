// Published worked examples of hot solids, ice, warm water and heaters. Sources as in
// worked_examples_test.cpp.
#include "tests/chemistry/worked.hpp"

using namespace nestcup;
using namespace nestcup::testing;

namespace {

double specific_heat(const std::string& solid_g, const std::string& solid_degC,
                     const std::string& water_mL, const std::string& typed) {
  const TrialResult trial = only_trial(
      sheet_head() +
      "[[trial]]\nname = \"solid\"\npurpose = \"heat capacity\"\ncup = { substance = \"water\", "
      "volume_mL = " +
      water_mL + " }\nadded = { substance = \"a metal\", mass_g = " + solid_g +
      ", temperature_degC = " + solid_degC + " }\ntyped = { " + typed + " }\n" +
      conventions("4.184"));
  REQUIRE(trial.heat_capacity_J_per_g_K);
  return trial.heat_capacity_J_per_g_K->value();
}

double fusion(double final_degC) {
  const TrialResult trial = only_trial(
      sheet_head() +
      "[[trial]]\nname = \"ice\"\npurpose = \"fusion\"\ncup = { substance = \"water\", mass_g = "
      "250.0 }\nadded = { substance = \"ice\", mass_g = 18.0 }\ntyped = { cup_degC = 20.0, "
      "final_degC = " +
      std::to_string(final_degC) + " }\n" + conventions("4.186"));
  REQUIRE(trial.fusion_J_per_g);
  return trial.fusion_J_per_g->value();
}

double constant(const TrialResult& trial) {
  REQUIRE(trial.constant_J_per_K);
  return trial.constant_J_per_K->value();
}

std::string warm_water(const std::string& cup_mL, const std::string& added_mL,
                       const std::string& more, const std::string& typed) {
  return sheet_head() +
         "[[trial]]\nname = \"warm\"\npurpose = \"calorimeter constant\"\ncup = { substance = "
         "\"water\", volume_mL = " +
         cup_mL + " }\nadded = { substance = \"water\", volume_mL = " + added_mL + more +
         " }\ntyped = { " + typed + " }\n";
}

}  // namespace

TEST_CASE("OpenStax: a metal at 100 degC in water has 0.38 J/(g K)") {
  CHECK(specific_heat("59.7", "100.0", "60.0", "cup_degC = 22.0, final_degC = 28.5") ==
        Approx(0.38).margin(0.005));
}

TEST_CASE("OpenStax: steel of 0.449 J/(g K) was at 248 degC") {
  // The book asks for the temperature; the trial gives the heat capacity back from it, within what
  // the printed temperature is rounded by.
  const std::string typed = "cup_degC = 24.0, final_degC = 42.7";
  CHECK(specific_heat("360.0", "248.5", "425.0", typed) < 0.449);
  CHECK(specific_heat("360.0", "247.5", "425.0", typed) > 0.449);
}

TEST_CASE("OpenStax: a grey metal at 178.0 degC has 0.13 J/(g K), as lead has") {
  // Figures from memory.
  CHECK(specific_heat("92.9", "178.0", "75.0", "cup_degC = 24.0, final_degC = 29.7") ==
        Approx(0.13).margin(0.005));
}

TEST_CASE("a lead pellet, 0.158 J/(g K), and a steel ball, 0.474") {
  // R. Chang, Chemistry, an example (negligible heat capacity of the calorimeter) and the exercise
  // behind it; figures from memory.
  CHECK(specific_heat("26.47", "89.98", "100.0", "cup_degC = 22.50, final_degC = 23.17") ==
        Approx(0.158).margin(0.0006));
  CHECK(specific_heat("30.14", "117.82", "120.0", "cup_degC = 18.44, final_degC = 21.19") ==
        Approx(0.474).margin(0.0005));
}

TEST_CASE("ice in a drink: 334 J/g cool 250 g from 20 to 13 degC") {
  // OpenStax, College Physics, phase change: three cubes of 6.0 g, 4186 J/(kg K), 334 kJ/kg;
  // figures from memory. Balance: final = (250 * 20 - 18 * 334 / 4.186) / 268 = 13.298 degC,
  // printed as 13.
  const double final_degC = (250.0 * 20.0 - 18.0 * 334.0 / 4.186) / 268.0;
  CHECK(final_degC == Approx(13.0).margin(0.5));
  CHECK(fusion(final_degC) == Approx(334.0).margin(0.01));
  // The rounding of the printed answer is worth 19 J/g.
  CHECK(fusion(13.0) == Approx(352.6).margin(0.05));
}

TEST_CASE("OpenStax: water at 23 degC that brings coffee from 95 to 60 degC, 170 mL") {
  // An exercise for 180 mL of coffee; the cup counts for nothing, so the constant is 0.
  const auto run = [](const std::string& cup_mL) {
    return constant(only_trial(warm_water(cup_mL, "180.0", ", temperature_degC = 95.0",
                                          "cup_degC = 23.0, final_degC = 60.0") +
                               conventions("4.184")));
  };
  const double exact_mL = 180.0 * 35.0 / 37.0;
  CHECK(run(std::to_string(exact_mL)) == Approx(0.0).margin(1e-3));
  CHECK(run("170.0") == Approx(4.184 * (exact_mL - 170.0)));
}

TEST_CASE("a heater of 12 V and 10.0 A over 300 s that warms by 5.5 K: 6.5 kJ/K in all") {
  // P. Atkins and J. de Paula, Physical Chemistry, the calorimeter constant; figures from memory.
  // Convention: the book's constant holds the contents as well; here they are 100 g of water.
  const TrialResult trial = only_trial(
      sheet_head() +
      "[[trial]]\nname = \"coil\"\npurpose = \"electrical calibration\"\ncup = { substance = "
      "\"water\", mass_g = 100.0 }\nheater = { voltage_V = 12.0, current_A = 10.0, time_s = 300.0 "
      "}\ntyped = { cup_degC = 20.0, final_degC = 25.5 }\n" +
      conventions("4.184"));
  CHECK(constant(trial) + 418.4 == Approx(6.5e3).margin(50.0));
  CHECK(constant(trial) == Approx(36.0e3 / 5.5 - 418.4));
}

TEST_CASE("a calorimeter of 335 J/K found again from acid and base of -56.2 kJ/mol") {
  // R. Chang, Chemistry, earlier editions: 335 J/K and 22.50 to 24.90 degC; figures from memory.
  const TrialResult trial = only_trial(
      sheet_head() +
      "[[stock]]\nname = \"acid\"\nsubstance = \"HCl(aq)\"\nconcentration_mol_per_L = 0.500\n"
      "[[stock]]\nname = \"base\"\nsubstance = \"NaOH(aq)\"\nconcentration_mol_per_L = 0.500\n"
      "[[trial]]\nname = \"known\"\npurpose = \"calorimeter constant\"\nequation = \"H+(aq) + "
      "OH-(aq) -> H2O(l)\"\nreference_kJ_per_mol = -56.2\ncup = { stock = \"acid\", volume_mL = "
      "100.0 }\nadded = { stock = \"base\", volume_mL = 100.0, temperature_degC = 22.50 }\ntyped = "
      "{ cup_degC = 22.50, final_degC = 24.90 }\n" +
      conventions("4.184"));
  // The last digit of -56.2 is worth 1 J/K.
  CHECK(constant(trial) == Approx(335.0).margin(1.05));
}

TEST_CASE("a 50 mL cylinder of water at 65 degC holds 49.0 g: a tenth and more of the constant") {
  // Density 0.9806 g/mL at 65 degC and 0.9982 at 20 degC: G. S. Kell, J. Chem. Eng. Data 20 (1975)
  // 97-105. 50.0 mL at 65.0 degC into 50.0 mL at 21.0 degC.
  const std::string typed = "cup_degC = 21.0, final_degC = 41.3";
  const double warm =
      constant(only_trial(warm_water("50.0", "50.0", ", temperature_degC = 65.0", typed)));
  const double at_20 = constant(only_trial(
      warm_water("50.0", "50.0", ", temperature_degC = 65.0, read_at_degC = 20", typed)));
  // By hand, heat capacities of water between 4.178 and 4.184 J/(g K).
  const double spans = (65.0 - 41.3) / (41.3 - 21.0);
  CHECK(50.0 * 0.9806 == Approx(49.0).margin(0.05));
  CHECK(warm == Approx(4.181 * (49.03 * spans - 49.90)).margin(0.4));
  CHECK(at_20 - warm == Approx(4.181 * 50.0 * (0.9982 - 0.9806) * spans).epsilon(0.01));
  CHECK((at_20 - warm) / warm > 0.1);
}
