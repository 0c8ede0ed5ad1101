// What a trial should come to, before it is run: from tables, from the sheet, or as it was told.
#pragma once

#include <map>
#include <optional>
#include <string>

#include "core/chemistry/trial_run.hpp"

namespace nestcup {

/// What is taken for granted before anything was measured. Trials by their name.
struct Assumptions {
  Uncertain cup_degC{21.0, 1.0};  ///< of every cup whose temperature the sheet omits
  std::map<std::string, Uncertain> added_degC;
  std::map<std::string, Uncertain> enthalpy_kJ_per_mol;  ///< at 25 degC
  std::map<std::string, Uncertain> heat_capacity_J_per_g_K;
  std::optional<Uncertain> constant_J_per_K;
};

/// Two nested foam cups with lid, stirrer and probe take up 20 to 40 J/K (common practice).
inline constexpr Uncertain usual_constant_J_per_K{30.0, 10.0};
/// Warm water as it is poured in, a quarter of an hour after the kettle (common practice).
inline constexpr Uncertain usual_warm_degC{60.0, 3.0};
/// A solid out of boiling water.
inline constexpr Uncertain usual_boiling_degC{99.5, 0.5};
/// A tabulated value whose uncertainty nobody states is taken to be off by so much of itself.
inline constexpr double unstated_relative_u = 0.01;

/// A value with where it comes from, in words.
struct ExpectedValue {
  Measured value;
  std::string source;
};

/// The calorimeter constant, J/K: as told, else the sheet's, else the usual one.
[[nodiscard]] ExpectedValue expected_constant(const Sheet& sheet, const Assumptions& assumptions,
                                              Inputs& inputs);

/// What the trial is for, in its unit: J/K (the constant), kJ/mol at the cup's temperature,
/// J/(g K), or J/g. An enthalpy is the one told, else the accepted one at the concentration that is
/// nearest (accepted_near), and is carried from 25 degC where the heat capacities are known.
/// @param constant_J_per_K  what a trial for the constant should find
/// @errors no_input: nothing is known; says which option would tell it
[[nodiscard]] Result<ExpectedValue> expected_outcome(const TrialWork& work,
                                                     const Assumptions& assumptions,
                                                     const Measured& constant_J_per_K,
                                                     const Measured& cup_degC);

/// The temperature of what is put into the cup, and where that is known from: as told, else the
/// sheet's, ice 0 degC, warm water and hot solids as usual, else the cup's within 1 K.
[[nodiscard]] Uncertain expected_added_degC(const SheetTrial& trial, const Assumptions& assumptions,
                                            const Uncertain& cup_degC, std::string& source);

/// The same of the cup.
[[nodiscard]] Uncertain expected_cup_degC(const SheetTrial& trial, const Assumptions& assumptions);

}  // namespace nestcup
