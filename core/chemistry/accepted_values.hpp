// Tabulated enthalpies as measured values.
#pragma once

#include <optional>
#include <string>

#include "core/chemistry/trial_run.hpp"
#include "core/matter/accepted.hpp"

namespace nestcup {

/// An accepted enthalpy with what it rests on.
struct AcceptedMeasured {
  Measured kJ_per_mol;
  std::string source;  ///< base of the table, and under which conditions it holds
  bool without_u = false;
};

/// Of the equation at 25 degC; formation enthalpies of one species are the same input in all.
/// @param base  asked first; empty for none
/// @errors as accepted_enthalpy
[[nodiscard]] Result<AcceptedMeasured> accepted_measured(const Equation& equation,
                                                         const std::string& base, Inputs& inputs);

/// The same, but a value at finite concentration where one is tabulated that is near: within a
/// factor of 1.5 in molality, mol/L counting as mol/kg.
/// @param mol_per_L  of the solutions before they are mixed; nothing for infinite dilution
[[nodiscard]] Result<AcceptedMeasured> accepted_near(const Equation& equation,
                                                     const std::string& base,
                                                     std::optional<double> mol_per_L,
                                                     Inputs& inputs);

/// The strongest solution that goes into the trial; nothing where no stock does.
[[nodiscard]] std::optional<double> strongest_mol_per_L(const SheetTrial& trial,
                                                        const Sheet& sheet);

/// Values at finite concentration, in words: "-57.5 (HCl(aq) and NaOH(aq), each 1.0 mol/kg, equal
/// volumes); ..."; empty where there are none.
[[nodiscard]] std::string accepted_elsewhere(const Equation& equation);

/// The enthalpy (kJ/mol) of a trial's equation as a reference reaction at a temperature: the
/// sheet's own value (taken as it is), else the table's, carried from 25 degC by the heat
/// capacities where they are known.
/// @return nothing where there is none (said in the notes)
[[nodiscard]] std::optional<Measured> reference_enthalpy(const TrialWork& work,
                                                         const Measured& degC);

/// The change of heat capacity of an equation, J/(mol K), where the table has all species; 10 % of
/// it, and at least 10 J/(mol K), is taken as its standard uncertainty: ions at finite
/// concentration differ from those at infinite dilution by as much (an estimate; no source).
[[nodiscard]] std::optional<Measured> delta_Cp_J_per_mol_K(const Equation& equation,
                                                           Inputs& inputs);

}  // namespace nestcup
