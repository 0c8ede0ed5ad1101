// A substance as its formula: what atoms, what charge, what phase.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>

#include "core/base/result.hpp"

namespace nestcup {

enum class Phase { solid, liquid, gas, aqueous };

/// "s", "l", "g" or "aq".
[[nodiscard]] std::string_view phase_name(Phase phase);

/// One species. Two are the same where their canonical text is the same.
struct Formula {
  std::string text;                  ///< canonical: "Mg+2(aq)", "MgSO4.7H2O(s)"
  std::map<std::string, int> atoms;  ///< by element; empty for the electron alone
  int charge = 0;                    ///< in elementary charges
  std::optional<Phase> phase;        ///< nothing where none was given
};

[[nodiscard]] inline bool operator==(const Formula& a, const Formula& b) {
  return a.text == b.text;
}

/// Reads a formula: groups in ( ) and [ ], nested; waters of crystallisation behind ".", "*" or
/// U+00B7; a charge as "+2", "-", "^2+"; the electron "e-"; a phase (s), (cr), (l), (g) or (aq),
/// with (cr) the same as (s). Elements are those with a standard atomic weight (elements.hpp).
/// "Mg2+" is refused, since it would be two magnesium with one charge.
/// In the canonical text groups that say nothing are gone, brackets are round, water stands behind
/// ".", and charges are written "+", "-", "+2", "-2".
/// @errors bad_data (what is wrong, at which character, the nearest element)
[[nodiscard]] Result<Formula> parse_formula(std::string_view text);

/// The same species in another phase.
[[nodiscard]] Formula in_phase(const Formula& formula, std::optional<Phase> phase);

}  // namespace nestcup
