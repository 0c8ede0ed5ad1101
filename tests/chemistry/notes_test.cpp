// Each note that results can bear, provoked by a sheet.
#include "tests/chemistry/worked.hpp"

using namespace nestcup;
using namespace nestcup::testing;

namespace {

const std::string acid_and_base_stocks =
    "[[stock]]\nname = \"acid\"\nsubstance = \"HCl(aq)\"\nconcentration_mol_per_L = 1.0\n"
    "[[stock]]\nname = \"base\"\nsubstance = \"NaOH(aq)\"\nconcentration_mol_per_L = 1.0\n";

std::string trial(const std::string& purpose, const std::string& cup, const std::string& added,
                  const std::string& more) {
  return "[[trial]]\nname = \"it\"\npurpose = \"" + purpose + "\"\ncup = { " + cup +
         " }\nadded = { " + added + " }\n" + more + "\n";
}

std::string salt(const std::string& more) {
  return sheet_head(30.0) +
         trial("reaction", "substance = \"water\", mass_g = 100.0, u_mass_g = 0.1",
               "substance = \"KCl(s)\", mass_g = 3.0, u_mass_g = 0.01, temperature_degC = 22.0",
               "equation = \"KCl(s) -> K+(aq) + Cl-(aq)\"\n" + more);
}

const std::string typed = "typed = { cup_degC = 22.0, final_degC = 21.0, u_degC = 0.05 }";

std::string neutralisation(const std::string& purpose, const std::string& base_mL,
                           const std::string& more = "") {
  return acid_and_base_stocks +
         trial(purpose, "stock = \"acid\", volume_mL = 50.0",
               "stock = \"base\", volume_mL = " + base_mL + ", temperature_degC = 22.0",
               "equation = \"H+(aq) + OH-(aq) -> H2O(l)\"\ntyped = { cup_degC = 22.0, final_degC "
               "= 28.0, u_degC = 0.05 }\n" +
                   more);
}

std::string warm(const std::string& more) {
  return "[sheet]\ntitle = \"x\"\n" + trial("calorimeter constant",
                                            "substance = \"water\", mass_g = 50.0",
                                            "substance = \"water\", mass_g = 50.0", more);
}

const ResultNote* find(const Results& results, const std::string& code) {
  for (const ResultNote& note : results.notes.all()) {
    if (note.code == code) return &note;
  }
  return nullptr;
}

RunFacts run_of(const std::string& name) {
  RunFacts run;
  run.id = "5";
  run.trial = name;
  run.cup_degC = {22.0, 0.01};
  run.rise_K = {5.0, 0.01};
  return run;
}

}  // namespace

TEST_CASE("nothing is said where all is told") {
  const Results results = worked_out(salt(typed));
  std::string said;
  for (const ResultNote& note : results.notes.all()) said += note.code + " ";
  CHECK(said.empty());
}

TEST_CASE("runs that belong to no trial of the sheet") {
  CHECK(has_note(worked_out(salt(typed), {run_of("")}), "run-without-trial"));
  CHECK(has_note(worked_out(salt(typed), {run_of("another")}), "run-of-other-trial"));
  CHECK(only_trial(salt(typed)).runs.size() == 1);
}

TEST_CASE("what has no uncertainty") {
  CHECK(has_note(worked_out(sheet_head() + neutralisation("reaction", "51.0")),
                 "amount-taken-as-exact", "it"));
  CHECK(has_note(worked_out(salt("typed = { cup_degC = 22.0, final_degC = 21.0 }")),
                 "temperature-taken-as-exact", "it"));
}

TEST_CASE("repeats that lie too far apart") {
  const Results results = worked_out(
      salt("typed = [{ cup_degC = 22.0, final_degC = 21.0, u_degC = 0.01 }, { cup_degC = 22.0, "
           "final_degC = 20.5, u_degC = 0.01 }]"));
  CHECK(has_note(results, "repeats-apart", "it"));
  CHECK(results.trials[0].probability < 0.05);
}

TEST_CASE("constants of two trials that lie too far apart, and what may be the reason") {
  const auto both = [](const std::string& u_temperature_K) {
    return worked_out(
        "[sheet]\ntitle = \"x\"\n" +
        trial("calorimeter constant", "substance = \"water\", mass_g = 50.0",
              "substance = \"water\", mass_g = 50.0, temperature_degC = 60.0, u_temperature_K = " +
                  u_temperature_K,
              "typed = [{ cup_degC = 20.0, final_degC = 38.9, u_degC = 0.01 }, { cup_degC = 20.0, "
              "final_degC = 38.9, u_degC = 0.01 }]") +
        "[[trial]]\nname = \"coil\"\npurpose = \"electrical calibration\"\ncup = { substance = "
        "\"water\", mass_g = 100.0 }\nheater = { voltage_V = 9.0, current_A = 1.3, time_s = 400.0 "
        "}\ntyped = { cup_degC = 20.0, final_degC = 30.5, u_degC = 0.01 }\n");
  };
  CHECK(has_note(both("0.01"), "constants-apart"));
  // Warm water whose temperature may be wrong in both repeats tells nothing against the heater.
  const Results wide = both("2.0");
  CHECK_FALSE(has_note(wide, "constants-apart"));
  REQUIRE(wide.constant_J_per_K);
  REQUIRE(trial_of(wide, "coil").constant_J_per_K);
  const Measured& coil = *trial_of(wide, "coil").constant_J_per_K;
  CHECK(wide.constant_J_per_K->value() == Approx(coil.value()).margin(3.0 * coil.u()));
}

TEST_CASE("no runs, and no constant") {
  CHECK(has_note(worked_out(salt("")), "trial-without-runs", "it"));
  const Results results = worked_out(warm(""));
  REQUIRE(find(results, "constant-missing") != nullptr);
  CHECK(find(results, "constant-missing")->severity == Severity::unusable);
}

TEST_CASE("heat capacities beyond their tables, and estimated ones") {
  const std::string strong =
      "[[stock]]\nname = \"acid\"\nsubstance = \"HCl(aq)\"\nmass_fraction = 0.38\n" +
      trial("reaction", "stock = \"acid\", mass_g = 50.0",
            "substance = \"MgO(s)\", mass_g = 0.5, temperature_degC = 22.0",
            "equation = \"MgO(s) + 2 H+(aq) -> Mg+2(aq) + H2O(l)\"\n" + typed);
  CHECK(has_note(worked_out(sheet_head(30.0) + strong), "heat-capacity-extrapolated", "it"));
  // A precipitate by Kopp's rule counts whatever is chosen for liquids; liquids do not then.
  const std::string silver =
      "[[stock]]\nname = \"silver\"\nsubstance = \"AgNO3(aq)\"\nconcentration_mol_per_L = 0.2\n"
      "[[stock]]\nname = \"salt\"\nsubstance = \"NaCl(aq)\"\nconcentration_mol_per_L = 0.3\n" +
      trial("reaction", "stock = \"silver\", volume_mL = 50.0",
            "stock = \"salt\", volume_mL = 50.0, temperature_degC = 22.0",
            "equation = \"Ag+(aq) + Cl-(aq) -> AgCl(s)\"\n" + typed);
  CHECK(has_note(worked_out(sheet_head() + silver + conventions("4.184")),
                 "heat-capacity-estimated", "it"));
  CHECK_FALSE(has_note(worked_out(sheet_head() + strong + conventions("4.184")),
                       "heat-capacity-extrapolated"));
}

TEST_CASE("a constant from a rise that is none") {
  const Results results =
      worked_out(warm("typed = { cup_degC = 22.0, added_degC = 60.0, final_degC = 22.1, u_degC = "
                      "0.1 }"));
  CHECK(has_note(results, "not-worked-out", "it"));
  CHECK_FALSE(results.constant_J_per_K);
}

TEST_CASE("two reactants that run out together") {
  CHECK(has_note(worked_out(sheet_head() + neutralisation("reaction", "50.0")), "limiting-unclear",
                 "it"));
  CHECK_FALSE(
      has_note(worked_out(sheet_head() + neutralisation("reaction", "52.0")), "limiting-unclear"));
}

TEST_CASE("a reference reaction without a value of its own") {
  const std::string head = "[sheet]\ntitle = \"x\"\n";
  const Results results = worked_out(head + neutralisation("calorimeter constant", "52.0"));
  CHECK(has_note(results, "reference-from-table", "it"));
  CHECK(results.constant_J_per_K);
  const Results unknown =
      worked_out(head + trial("calorimeter constant", "substance = \"water\", mass_g = 100.0",
                              "substance = \"C6H12O6(s)\", mass_g = 9.0, temperature_degC = 22.0",
                              "equation = \"C6H12O6(s) -> C6H12O6(aq)\"\n" + typed));
  CHECK(has_note(unknown, "reference-unknown", "it"));
  CHECK_FALSE(unknown.constant_J_per_K);
}

TEST_CASE("an enthalpy is held against the value at its own concentration, a cycle is told of it") {
  const std::string cycle =
      "[cycle]\ntarget = \"HCl(aq) + NaOH(aq) -> NaCl(aq) + H2O(l)\"\nfrom = [\"it\"]\n";
  const Results results = worked_out(sheet_head() + neutralisation("reaction", "52.0") + cycle);
  REQUIRE(results.trials[0].accepted);
  const Comparison& near = *results.trials[0].accepted;
  CHECK(near.source.find("1.0 mol/kg") != std::string::npos);
  CHECK(near.kJ_per_mol.value() == Approx(-57.5));
  REQUIRE(results.cycle->accepted);
  CHECK(results.cycle->accepted->kJ_per_mol.value() == Approx(-55.815));
  CHECK(results.cycle->accepted->source.find("infinite dilution") != std::string::npos);
  CHECK(has_note(results, "accepted-at-other-concentrations"));
}

TEST_CASE("a cycle of enthalpies that cannot be carried to 25 degC") {
  const Results results =
      worked_out(sheet_head() +
                 trial("reaction", "substance = \"water\", mass_g = 100.0",
                       "substance = \"C6H12O6(s)\", mass_g = 9.0, temperature_degC = 22.0",
                       "equation = \"C6H12O6(s) -> C6H12O6(aq)\"\n" + typed) +
                 "[cycle]\ntarget = \"C6H12O6(aq) -> C6H12O6(s)\"\nfrom = [\"it\"]\n");
  CHECK(has_note(results, "cycle-not-at-25"));
  REQUIRE(results.cycle->delta_H_kJ_per_mol);
  CHECK(results.cycle->delta_H_kJ_per_mol->value() ==
        -results.trials[0].delta_H_kJ_per_mol->value());
}

TEST_CASE("added contents of unknown temperature") {
  const Results missing = worked_out(warm(""), {run_of("it")});
  CHECK(has_note(missing, "added-temperature-missing", "it"));
  CHECK(missing.trials[0].runs.empty());
  const std::string one = trial("reaction", "substance = \"water\", mass_g = 100.0",
                                "substance = \"KCl(s)\", mass_g = 3.0",
                                "equation = \"KCl(s) -> K+(aq) + Cl-(aq)\"\n" + typed);
  std::string other = one;
  other.replace(other.find("\"it\""), 4, "\"the other\"");
  const Results assumed = worked_out(sheet_head() + one + other);
  // Said of each trial, in the same words.
  CHECK(has_note(assumed, "added-temperature-assumed", "it"));
  CHECK(has_note(assumed, "added-temperature-assumed", "the other"));
}

TEST_CASE("cycles that are open, ambiguous, waiting, or have too much in them") {
  const auto with = [](const std::string& target, const std::string& accepted,
                       const std::string& more = typed) {
    return worked_out(salt(more) + "[cycle]\ntarget = \"" + target +
                      "\"\nfrom = [\"it\"]\naccepted = [" + accepted + "]\n");
  };
  const std::string dissolving = "KCl(s) -> KCl(aq)";
  CHECK(has_note(with("NaCl(s) -> NaCl(aq)", ""), "cycle-open"));
  CHECK(has_note(with(dissolving, "\"2 KCl(s) -> 2 KCl(aq)\""), "cycle-ambiguous"));
  CHECK(has_note(with(dissolving, "\"H+(aq) + OH-(aq) -> H2O(l)\""), "cycle-term-unused"));
  const Results waiting = with(dissolving, "", "");
  CHECK(has_note(waiting, "cycle-waits"));
  REQUIRE(waiting.cycle);
  CHECK_FALSE(waiting.cycle->delta_H_kJ_per_mol);
  CHECK(has_note(
      with("KCl(s) + C6H12O6(s) -> KCl(aq) + C6H12O6(aq)", "\"C6H12O6(s) -> C6H12O6(aq)\""),
      "accepted-unknown"));
  const Results closed = with(dissolving, "");
  REQUIRE(closed.cycle);
  REQUIRE(closed.cycle->delta_H_kJ_per_mol);
  CHECK(closed.cycle->delta_H_kJ_per_mol->value() ==
        closed.trials[0].delta_H_25_kJ_per_mol->value());
}
