// The heat balance the other way round: published examples read from the answer to the figures
// given, and what a run with exactly the expected rise comes to.
//
// "OpenStax": Chemistry 2e, OpenStax, Rice University, chapter 5, section "Calorimetry" (examples
// and exercises); there 4.184 J/(g K) and 1.0 g/mL hold for every liquid, and the cup for nothing.
#include "core/chemistry/expected_rise.hpp"

#include <cmath>

#include "tests/chemistry/worked.hpp"

using namespace nestcup;
using namespace nestcup::testing;

namespace {

Sheet sheet_from(const std::string& text) {
  auto sheet = parse_sheet(text, "sheet.toml");
  INFO((sheet ? std::string() : sheet.error().text));
  REQUIRE(sheet);
  return std::move(sheet).value();
}

struct Planned {
  Inputs inputs{};
  Result<ExpectedTrial> trial = Error{};
};

Planned planned(const Sheet& sheet, std::size_t index, const Assumptions& assumptions = {}) {
  Planned plan;
  ResultNotes notes;
  const ExpectedValue constant = expected_constant(sheet, assumptions, plan.inputs);
  plan.trial =
      expected_trial({sheet, sheet.trials[index], plan.inputs, notes}, assumptions, constant.value);
  return plan;
}

Assumptions starting_at(double cup_degC) {
  Assumptions assumptions;
  assumptions.cup_degC = {cup_degC, 0.0, {}};
  return assumptions;
}

ExpectedTrial expected_of(const std::string& text, const Assumptions& assumptions) {
  const Sheet sheet = sheet_from(text);
  Planned plan = planned(sheet, 0, assumptions);
  INFO((plan.trial ? std::string() : plan.trial.error().text));
  REQUIRE(plan.trial);
  return std::move(plan.trial).value();
}

std::string trial_text(const std::string& purpose, const std::string& equation,
                       const std::string& cup, const std::string& added) {
  const std::string line = equation.empty() ? "" : "equation = \"" + equation + "\"\n";
  return "[[trial]]\nname = \"it\"\npurpose = \"" + purpose + "\"\n" + line + "cup = { " + cup +
         " }\nadded = { " + added + " }\n";
}

std::string acid_and_base() {
  return "[[stock]]\nname = \"acid\"\nsubstance = \"HCl(aq)\"\nconcentration_mol_per_L = 1.00\n"
         "[[stock]]\nname = \"base\"\nsubstance = \"NaOH(aq)\"\nconcentration_mol_per_L = 1.00\n";
}

/// A run that went exactly as expected.
RunFacts facts_of(const ExpectedTrial& expected) {
  RunFacts facts;
  facts.id = expected.name;
  facts.trial = expected.name;
  facts.cup_degC.value = expected.cup_degC.value();
  facts.rise_K.value = expected.rise_K.value();
  if (expected.added_degC) {
    facts.added_degC = Uncertain{expected.added_degC->value()};
    facts.added_by_hand = true;
  }
  return facts;
}

double result_of(const nestcup::TrialResult& trial) {
  if (trial.constant_J_per_K) return trial.constant_J_per_K->value();
  if (trial.heat_capacity_J_per_g_K) return trial.heat_capacity_J_per_g_K->value();
  if (trial.fusion_J_per_g) return trial.fusion_J_per_g->value();
  REQUIRE(trial.delta_H_kJ_per_mol);
  return trial.delta_H_kJ_per_mol->value();
}

const char* const all_kinds = R"toml(
[[stock]]
name = "acid"
substance = "HCl(aq)"
concentration_mol_per_L = 1.00
u_concentration_mol_per_L = 0.01
[[stock]]
name = "base"
substance = "NaOH(aq)"
concentration_mol_per_L = 1.02
[[trial]]
name = "warm"
purpose = "calorimeter constant"
cup = { substance = "water", volume_mL = 50.0 }
added = { substance = "water", volume_mL = 50.0 }
[[trial]]
name = "known"
purpose = "calorimeter constant"
equation = "H+(aq) + OH-(aq) -> H2O(l)"
cup = { stock = "acid", volume_mL = 50.0 }
added = { stock = "base", volume_mL = 50.0 }
[[trial]]
name = "coil"
purpose = "electrical calibration"
cup = { substance = "water", volume_mL = 100.0 }
heater = { voltage_V = 9.60, current_A = 1.370, time_s = 100.0 }
[[trial]]
name = "metal"
purpose = "reaction"
equation = "Mg(s) + 2 H+(aq) -> Mg+2(aq) + H2(g)"
cup = { stock = "acid", volume_mL = 100.0 }
added = { substance = "Mg(s)", mass_g = 0.250 }
[[trial]]
name = "salt"
purpose = "reaction"
equation = "NH4NO3(s) -> NH4+(aq) + NO3-(aq)"
cup = { substance = "water", volume_mL = 100.0, temperature_degC = 19.3 }
added = { substance = "NH4NO3(s)", mass_g = 12.0, temperature_degC = 22.7 }
[[trial]]
name = "block"
purpose = "heat capacity"
cup = { substance = "water", volume_mL = 110.0 }
added = { substance = "copper block", mass_g = 90.0 }
[[trial]]
name = "ice"
purpose = "fusion"
cup = { substance = "water", volume_mL = 110.0 }
added = { substance = "ice", mass_g = 15.0, temperature_degC = -4.0 }
)toml";

}  // namespace

TEST_CASE("OpenStax: acid and base of 1 mol/L, from 22.0 to 28.9 degC") {
  const ExpectedTrial expected = expected_of(
      sheet_head() + acid_and_base() +
          trial_text("reaction", "H+(aq) + OH-(aq) -> H2O(l)", "stock = \"acid\", volume_mL = 50.0",
                     "stock = \"base\", volume_mL = 50.0") +
          conventions("4.184"),
      starting_at(22.0));
  // The book's digits, and the accepted value at this strength, -57.5 kJ/mol at 25 degC.
  CHECK(expected.final_degC.value() == Approx(28.9).margin(0.1));
  CHECK(expected.outcome.source.find("1.0 mol/kg") != std::string::npos);
}

TEST_CASE("OpenStax: ammonium nitrate cools 50.0 g of water from 24.9 to 20.3 degC") {
  const ExpectedTrial expected = expected_of(
      sheet_head() +
          trial_text("reaction", "NH4NO3(s) -> NH4+(aq) + NO3-(aq)",
                     "substance = \"water\", mass_g = 50.0",
                     "substance = \"NH4NO3(s)\", mass_g = 3.21, temperature_degC = 24.9") +
          conventions("4.184"),
      starting_at(24.9));
  CHECK(expected.final_degC.value() == Approx(20.3).margin(0.1));
  CHECK(expected.rise_K.value() < 0.0);
}

TEST_CASE("OpenStax: a bar of 360 g at 248 degC warms 425 mL of water from 24.0 to 42.7 degC") {
  Assumptions assumptions = starting_at(24.0);
  assumptions.heat_capacity_J_per_g_K["it"] = {0.449, 0.0, {}};
  assumptions.added_degC["it"] = {248.0, 0.0, {}};
  const ExpectedTrial expected =
      expected_of(sheet_head() +
                      trial_text("heat capacity", "", "substance = \"water\", volume_mL = 425.0",
                                 "substance = \"rebar\", mass_g = 360.0") +
                      conventions("4.184"),
                  assumptions);
  CHECK(expected.final_degC.value() == Approx(42.7).margin(0.05));
}

TEST_CASE("equal amounts of warm and cold water meet in the middle, but for the cup's share") {
  // K = 28.3 J/K: (T_f - T_c)/(T_a - T_f) = C/(C + K), by hand.
  Assumptions assumptions = starting_at(20.0);
  assumptions.constant_J_per_K = Uncertain{28.3, 0.0, {}};
  assumptions.added_degC["it"] = {60.0, 0.0, {}};
  const ExpectedTrial expected =
      expected_of("[sheet]\ntitle = \"water\"\n" +
                      trial_text("calorimeter constant", "", "substance = \"water\", mass_g = 50.0",
                                 "substance = \"water\", mass_g = 50.0") +
                      conventions("4.184"),
                  assumptions);
  const double C = 50.0 * 4.184;
  CHECK_THAT(expected.rise_K.value(), WithinRel(40.0 * C / (2.0 * C + 28.3), 1e-10));
}

TEST_CASE("a run with exactly the expected rise gives back what was put in") {
  const double constant = GENERATE(0.5, 28.0, 61.0);
  Assumptions assumptions;
  assumptions.enthalpy_kJ_per_mol["metal"] = {-455.1, 2.0, {}};
  const Sheet with_constant = sheet_from(sheet_head(constant) + all_kinds);
  // Without the sheet's constant its own trials give it.
  Sheet without = with_constant;
  without.calorimeter.constant_J_per_K.reset();
  Assumptions told = assumptions;
  told.constant_J_per_K = Uncertain{constant, 0.0, {}};
  for (std::size_t i = 0; i < with_constant.trials.size(); ++i) {
    const Planned plan = planned(with_constant, i, assumptions);
    INFO(with_constant.trials[i].name << ": "
                                      << (plan.trial ? std::string() : plan.trial.error().text));
    REQUIRE(plan.trial);
    const RunFacts facts = facts_of(*plan.trial);
    const bool finds_constant = with_constant.trials[i].purpose == Purpose::calorimeter_constant ||
                                with_constant.trials[i].purpose == Purpose::electrical_calibration;
    const Planned same = planned(without, i, told);
    REQUIRE(same.trial);
    CHECK(same.trial->rise_K.value() == plan.trial->rise_K.value());
    const Results results = work_out(finds_constant ? without : with_constant, {facts});
    const double found = result_of(results.trials[i]);
    CHECK_THAT(found, WithinRel(plan.trial->outcome.value.value(), 1e-9));
  }
}

TEST_CASE("an enthalpy told at 25 degC comes back at 25 degC") {
  Assumptions assumptions = starting_at(18.0);
  assumptions.enthalpy_kJ_per_mol["metal"] = {-455.1, 0.0, {}};
  const Sheet sheet = sheet_from(sheet_head(28.0) + all_kinds);
  const Planned plan = planned(sheet, 3, assumptions);
  REQUIRE(plan.trial);
  const Results results = work_out(sheet, {facts_of(*plan.trial)});
  REQUIRE(results.trials[3].delta_H_25_kJ_per_mol);
  CHECK_THAT(results.trials[3].delta_H_25_kJ_per_mol->value(), WithinRel(-455.1, 1e-9));
}

TEST_CASE("the rise's uncertainty is by how much it moves with what it rests on") {
  // At 25 degC nothing is carried from there, and the tables' own uncertainties play no part.
  const auto rise = [](double mass_g, double u_mass_g, double enthalpy, double u) {
    Assumptions assumptions = starting_at(25.0);
    assumptions.enthalpy_kJ_per_mol["it"] = {enthalpy, u, {}};
    assumptions.added_degC["it"] = {25.0, 0.0, {}};
    std::string added = "substance = \"KCl(s)\", mass_g = " + std::to_string(mass_g);
    if (u_mass_g > 0.0) added += ", u_mass_g = " + std::to_string(u_mass_g);
    return expected_of(sheet_head(28.0) +
                           trial_text("reaction", "KCl(s) -> K+(aq) + Cl-(aq)",
                                      "substance = \"water\", mass_g = 100.0", added) +
                           conventions("4.184"),
                       assumptions)
        .rise_K;
  };
  const double by_mass = rise(5.05, 0.0, 17.2, 0.0).value() - rise(4.95, 0.0, 17.2, 0.0).value();
  CHECK_THAT(rise(5.0, 0.05, 17.2, 0.0).u(), WithinRel(std::abs(by_mass) / 2.0, 1e-3));
  const double by_both = rise(5.0, 0.0, 17.5, 0.0).value() - rise(5.0, 0.0, 16.9, 0.0).value();
  CHECK_THAT(rise(5.0, 0.05, 17.2, 0.3).u(), WithinRel(std::hypot(by_mass, by_both) / 2.0, 1e-3));
}

TEST_CASE("what runs out first stands in front, and the others with what they allow") {
  const Sheet sheet = sheet_from(sheet_head(28.0) + all_kinds);
  const Planned plan = planned(sheet, 3);
  REQUIRE(plan.trial);
  REQUIRE(plan.trial->reaches.size() == 2);
  CHECK(plan.trial->reaches[0].species == "Mg(s)");
  // 0.250 g / 24.305 g/mol; 100 mL of 1.00 mol/L for two protons each.
  CHECK(plan.trial->reaches[0].mol.value() == Approx(0.250 / 24.305).epsilon(1e-4));
  CHECK(plan.trial->reaches[1].mol.value() == Approx(0.0500).epsilon(1e-3));
  CHECK_FALSE(plan.trial->rival);
  CHECK(plan.trial->gas_mol.value() == Approx(0.250 / 24.305).epsilon(1e-4));
}

TEST_CASE("where nothing is known the error says what to give") {
  const Sheet sheet = sheet_from(
      sheet_head(28.0) + trial_text("heat capacity", "", "substance = \"water\", volume_mL = 100",
                                    "substance = \"lump from the yard\", mass_g = 50.0"));
  const Planned lump = planned(sheet, 0);
  REQUIRE_FALSE(lump.trial);
  CHECK(lump.trial.error().kind == Fault::no_input);
  CHECK(lump.trial.error().text.find("--heat-capacity it=") != std::string::npos);
  const Sheet strange =
      sheet_from(sheet_head(28.0) + trial_text("reaction", "RbBr(s) -> Rb+(aq) + Br-(aq)",
                                               "substance = \"water\", mass_g = 100",
                                               "substance = \"RbBr(s)\", mass_g = 5.0"));
  const Planned unknown = planned(strange, 0);
  REQUIRE_FALSE(unknown.trial);
  CHECK(unknown.trial.error().text.find("--enthalpy it=") != std::string::npos);
}

TEST_CASE("what would end as no liquid is refused") {
  Assumptions assumptions;
  assumptions.enthalpy_kJ_per_mol["it"] = {-30000.0, 0.0, {}};
  const Sheet sheet =
      sheet_from(sheet_head(28.0) + trial_text("reaction", "KCl(s) -> K+(aq) + Cl-(aq)",
                                               "substance = \"water\", mass_g = 100.0",
                                               "substance = \"KCl(s)\", mass_g = 20.0"));
  const Planned plan = planned(sheet, 0, assumptions);
  REQUIRE_FALSE(plan.trial);
  CHECK(plan.trial.error().kind == Fault::bad_data);
}
