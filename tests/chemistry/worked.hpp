// Sheets with typed runs, worked out: published examples and what is held against them.
#pragma once

#include <string>

#include "core/chemistry/results.hpp"
#include "core/matter/elements.hpp"
#include "core/sheet/sheet_file.hpp"
#include "tests/catch.hpp"
#include "tests/working/same_results.hpp"

namespace nestcup::testing {

/// A sheet's head with the constant of the cup; 0 takes it for nothing, as textbooks do.
inline std::string sheet_head(double constant_J_per_K = 0.0) {
  return "[sheet]\ntitle = \"a worked example\"\n[calorimeter]\nconstant_J_per_K = " +
         std::to_string(constant_J_per_K) + "\n";
}

/// The figures that textbooks use for every liquid.
inline std::string conventions(const std::string& J_per_g_K, const std::string& g_per_mL = "1.00") {
  return "[conventions]\ndensity_g_per_mL = " + g_per_mL +
         "\nheat_capacity_J_per_g_K = " + J_per_g_K + "\n";
}

inline Results worked_out(const std::string& text, const std::vector<RunFacts>& runs = {}) {
  const auto sheet = parse_sheet(text, "sheet.toml");
  INFO((sheet ? std::string() : sheet.error().text));
  REQUIRE(sheet);
  Results results = work_out(*sheet, runs);
  // Whatever is worked out in a test is worked out a second time, step by step.
  check_working(*sheet, results);
  return results;
}

/// The trial of this name; it must be there.
inline const TrialResult& trial_of(const Results& results, const std::string& name) {
  for (const TrialResult& trial : results.trials) {
    if (trial.name == name) return trial;
  }
  FAIL("no trial " << name);
  return results.trials.front();
}

inline double g_per_mol(const std::string& formula) {
  return molar_mass_g_per_mol(parse_formula(formula).value()).value;
}

/// The only trial.
inline TrialResult only_trial(const std::string& text) {
  const Results results = worked_out(text);
  REQUIRE(results.trials.size() == 1);
  return results.trials.front();
}

inline double heat_J(const TrialResult& trial) {
  REQUIRE(trial.heat_J);
  return trial.heat_J->value();
}

inline double delta_H(const TrialResult& trial) {
  REQUIRE(trial.delta_H_kJ_per_mol);
  return trial.delta_H_kJ_per_mol->value();
}

inline bool has_note(const Results& results, const std::string& code,
                     const std::string& trial = "") {
  for (const ResultNote& note : results.notes.all()) {
    if (note.code == code && (trial.empty() || note.trial == trial)) return true;
  }
  return false;
}

}  // namespace nestcup::testing
