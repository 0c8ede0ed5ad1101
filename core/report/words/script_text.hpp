// Formulas as chemists print them: counts of atoms low, charges high.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace nestcup {

enum class Script { normal, low, high };

/// A part of a text on one level.
struct ScriptPiece {
  std::string words;
  Script script = Script::normal;
};

/// The formulas or the equation `text` in pieces: in "Mg(s) + 2 H+(aq) -> Mg+2(aq) + H2(g)" the
/// last 2 is low, "+" of the ion and "2+" (the count first: IUPAC Red Book 2005, IR-4.3) are high,
/// and the arrow and the dot of crystal water are those of typography. Coefficients and phases
/// stay.
[[nodiscard]] std::vector<ScriptPiece> formula_pieces(std::string_view text);

}  // namespace nestcup
