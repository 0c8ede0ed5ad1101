#include "core/report/words/script_text.hpp"

#include <string>

#include "tests/catch.hpp"

using namespace nestcup;

namespace {

/// Low parts as _{...}, high ones as ^{...}; signs of typography as their ASCII likenesses.
std::string marked(const std::string& text) {
  std::string made;
  for (const ScriptPiece& piece : formula_pieces(text)) {
    std::string words = piece.words;
    const std::string minus = "\xE2\x88\x92";
    for (auto at = words.find(minus); at != std::string::npos; at = words.find(minus)) {
      words.replace(at, minus.size(), "-");
    }
    if (piece.script == Script::low) words = "_{" + words + "}";
    if (piece.script == Script::high) words = "^{" + words + "}";
    made += words;
  }
  return made;
}

const std::string arrow = "\xE2\x86\x92";
const std::string dot = "\xC2\xB7";

}  // namespace

// IUPAC, Nomenclature of Inorganic Chemistry (Red Book) 2005: IR-4.2 subscripts count atoms and
// groups; IR-4.3 the charge is a superscript with the number before the sign; IR-4.4.3.5 water of
// crystallisation stands behind a centred dot.
TEST_CASE("formulas are set as the Red Book has them") {
  CHECK(marked("H2O(l)") == "H_{2}O(l)");
  CHECK(marked("Mg+2(aq)") == "Mg^{2+}(aq)");
  CHECK(marked("SO4-2(aq)") == "SO_{4}^{2-}(aq)");
  CHECK(marked("Cl-") == "Cl^{-}");
  CHECK(marked("NH4+(aq)") == "NH_{4}^{+}(aq)");
  CHECK(marked("K4[Fe(CN)6].3H2O(s)") == "K_{4}[Fe(CN)_{6}]" + dot + "3H_{2}O(s)");
  CHECK(marked("MgSO4.7H2O(s)") == "MgSO_{4}" + dot + "7H_{2}O(s)");
  CHECK(marked("C12H22O11(s)") == "C_{12}H_{22}O_{11}(s)");
}

TEST_CASE("equations keep coefficients, phases and plus signs") {
  CHECK(marked("Mg(s) + 2 H+(aq) -> Mg+2(aq) + H2(g)") ==
        "Mg(s) + 2 H^{+}(aq) " + arrow + " Mg^{2+}(aq) + H_{2}(g)");
  CHECK(marked("H2(g) + 1/2 O2(g) -> H2O(l)") == "H_{2}(g) + 1/2 O_{2}(g) " + arrow + " H_{2}O(l)");
  CHECK(marked("0.5 O2(g)") == "0.5 O_{2}(g)");
  CHECK(marked("") == "");
  CHECK(marked("neutralisation") == "neutralisation");
}
