// The table of accepted values as it stands in accepted.toml.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/result.hpp"
#include "core/matter/equation.hpp"

namespace nestcup {

/// A value in kJ/mol; u, its standard uncertainty, is not always known.
struct AcceptedValue {
  double kJ_per_mol = 0.0;
  std::optional<double> u_kJ_per_mol{};
};

/// One published table of enthalpies of formation.
struct AcceptedBase {
  std::string name;    ///< "CODATA 1989"
  std::string source;  ///< where it was published, and what its uncertainties rest on
  /// Bases consistent with this one, which give what it lacks.
  std::vector<std::string> completed_by;
  std::map<std::string, AcceptedValue> formation;  ///< by canonical formula, with phase
};

/// A reaction as measured or computed, some at finite concentration.
struct KnownReaction {
  Equation equation;
  AcceptedValue value;
  std::optional<double> molality_mol_per_kg;  ///< nothing at infinite dilution or without solution
  double at_degC = 25.0;
  std::string conditions;
  std::string source;
};

struct AcceptedTable {
  std::vector<std::string> zero;    ///< elements in their reference state, and H+(aq)
  std::vector<AcceptedBase> bases;  ///< in the order in which they are asked
  std::map<std::string, double> heat_capacity_J_per_mol_K;
  std::string heat_capacity_source;
  std::vector<KnownReaction> reactions;
};

/// accepted.toml as it was when the program was built.
[[nodiscard]] std::string_view accepted_file_text();

/// Reads a text of that form.
/// @errors bad_data (the line, and what is wrong with it)
[[nodiscard]] Result<AcceptedTable> parse_accepted(std::string_view toml);

/// accepted_file_text(), read once.
[[nodiscard]] const Result<AcceptedTable>& accepted_table();

}  // namespace nestcup
