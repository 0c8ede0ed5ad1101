// The cycle: measured and accepted enthalpies added up, and held against what is accepted.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/chemistry/measured.hpp"
#include "core/chemistry/notes.hpp"
#include "core/matter/rational.hpp"
#include "core/sheet/sheet.hpp"

namespace nestcup {

struct CycleTerm {
  std::string name;  ///< of the trial, or the accepted equation
  Rational multiplier = 0;
  Measured kJ_per_mol;
  bool measured = true;
  std::string source;  ///< of an accepted value
};

/// A value that the sum is held against.
struct Comparison {
  Measured kJ_per_mol;
  std::string source;  ///< base of the table, "the sheet", or the trial that measured the target
  Measured difference_kJ_per_mol;  ///< sum less this value
  std::optional<double> percent;   ///< of this value
  /// (x - X) / (k u(x - X)) with k = 2, what both share taken into account; ISO 13528:2022, 9.7
  /// (number of the clause from memory). |E_n| <= 1: the values agree within their uncertainties.
  std::optional<double> E_n;
};

struct CycleResult {
  std::string target;
  std::vector<CycleTerm> terms;
  std::optional<Measured> delta_H_kJ_per_mol;
  std::vector<SourceShare> budget;
  bool at_25_degC = true;  ///< false: at least one term is of another temperature
  std::optional<Comparison> accepted;
  std::optional<Comparison> direct;  ///< a trial outside of the sum that measured the target itself
};

/// What the trials measured, by index in the sheet.
struct MeasuredEnthalpy {
  Measured kJ_per_mol;
  bool at_25_degC = true;
};

/// @param measured  by index of the trial; those without a result are absent
/// @return with as much as could be worked out; the rest is said in the notes
[[nodiscard]] CycleResult close_cycle(const Sheet& sheet,
                                      const std::map<std::size_t, MeasuredEnthalpy>& measured,
                                      Inputs& inputs, ResultNotes& notes);

/// What is wrong with a sheet's cycle before anything is measured: no sum of its equations gives
/// the target, or many do. With the line of the [cycle].
[[nodiscard]] std::optional<Error> cycle_problem(const Sheet& sheet);

/// @param mine  the sum
[[nodiscard]] Comparison compare(const Measured& mine, const Measured& theirs, std::string source);

}  // namespace nestcup
