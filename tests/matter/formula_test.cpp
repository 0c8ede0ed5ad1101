#include "core/matter/formula.hpp"

#include <vector>

#include "tests/catch.hpp"

using namespace nestcup;

namespace {

Formula formula_of(const std::string& text) {
  const auto formula = parse_formula(text);
  INFO(text << ": " << (formula ? "" : formula.error().text));
  REQUIRE(formula.ok());
  return *formula;
}

std::string told_of(const std::string& text) {
  const auto formula = parse_formula(text);
  INFO(text);
  REQUIRE_FALSE(formula.ok());
  CHECK(formula.error().kind == Fault::bad_data);
  return formula.error().text;
}

}  // namespace

TEST_CASE("a formula's atoms, charge and phase") {
  using Atoms = std::map<std::string, int>;
  const Formula hydrate = formula_of("MgSO4.7H2O(s)");
  CHECK(hydrate.atoms == Atoms{{"Mg", 1}, {"S", 1}, {"O", 11}, {"H", 14}});
  CHECK(hydrate.charge == 0);
  CHECK(hydrate.phase == Phase::solid);
  const Formula sulfate = formula_of("(NH4)2SO4");
  CHECK(sulfate.atoms == Atoms{{"N", 2}, {"H", 8}, {"S", 1}, {"O", 4}});
  CHECK_FALSE(sulfate.phase.has_value());
  CHECK(formula_of("K4[Fe(CN)6].3H2O").atoms ==
        Atoms{{"K", 4}, {"Fe", 1}, {"C", 6}, {"N", 6}, {"H", 6}, {"O", 3}});
  CHECK(formula_of("CuSO4.5H2O").atoms == Atoms{{"Cu", 1}, {"S", 1}, {"O", 9}, {"H", 10}});
  CHECK(formula_of("(CaSO4)2.H2O").atoms == Atoms{{"Ca", 2}, {"S", 2}, {"O", 9}, {"H", 2}});
  CHECK(formula_of("CO(g)").atoms == Atoms{{"C", 1}, {"O", 1}});
  CHECK(formula_of("Co(s)").atoms == Atoms{{"Co", 1}});
  CHECK(formula_of("SO4-2(aq)").charge == -2);
  CHECK(formula_of("Mg+2(aq)").charge == 2);
  CHECK(formula_of("H+").charge == 1);
  CHECK(formula_of("Hg2+2(aq)").atoms == Atoms{{"Hg", 2}});
  CHECK(formula_of("e-").atoms.empty());
  CHECK(formula_of("e-").charge == -1);
  CHECK(formula_of("H2O(l)").phase == Phase::liquid);
  CHECK(formula_of("H2O(g)").phase == Phase::gas);
  CHECK(formula_of("HCl(aq)").phase == Phase::aqueous);
}

TEST_CASE("equal species have equal text however they were written") {
  const std::vector<std::pair<std::string, std::string>> rows{
      {"Mg^2+(aq)", "Mg+2(aq)"},
      {"Mg^+2(aq)", "Mg+2(aq)"},
      {"SO4^2-(aq)", "SO4-2(aq)"},
      {"H+1(aq)", "H+(aq)"},
      {"Cl^-", "Cl-"},
      {"e^-", "e-"},
      {"NaCl(cr)", "NaCl(s)"},
      {"CuSO4*5H2O(s)", "CuSO4.5H2O(s)"},
      {"CuSO4\xC2\xB7"
       "5H2O(s)",
       "CuSO4.5H2O(s)"},
      {"MgSO4.1H2O(s)", "MgSO4.H2O(s)"},
      {"Ca[OH]2", "Ca(OH)2"},
      {"(NH4)Cl", "NH4Cl"},
      {"(Mg)2", "Mg2"},
      {"((OH))2", "(OH)2"},
      {"Mg1O1", "MgO"},
      {"[Cu(NH3)4]+2(aq)", "Cu(NH3)4+2(aq)"},
      {" H2O (l) ", "H2O(l)"}};
  for (const auto& [written, canonical] : rows) {
    INFO(written);
    CHECK(formula_of(written).text == canonical);
    CHECK(formula_of(canonical).text == canonical);
    CHECK(formula_of(written) == formula_of(canonical));
  }
  CHECK_FALSE(formula_of("H2O(l)") == formula_of("H2O(g)"));
  CHECK_FALSE(formula_of("CH3COOH") == formula_of("HCOOCH3"));
}

TEST_CASE("the same species in another phase") {
  CHECK(in_phase(formula_of("Ca(OH)2(s)"), Phase::aqueous).text == "Ca(OH)2(aq)");
  CHECK(in_phase(formula_of("H2O(l)"), std::nullopt) == formula_of("H2O"));
  CHECK(in_phase(formula_of("H2O"), Phase::gas) == formula_of("H2O(g)"));
}

TEST_CASE("what is no formula is refused: what, at which character, what may have been meant") {
  const std::vector<std::pair<std::string, std::string>> rows{
      {"", "there is nothing"},
      {"XgO", "character 1: Xg is no element with a standard atomic weight, did you mean Mg?"},
      {"MgXO", "character 3: X is no element"},
      {"Tc", "Tc is no element with a standard atomic weight"},
      {"nacl", "character 1: nacl: elements begin with a capital, did you mean NaCl?"},
      {"Nacl(s)", "did you mean NaCl?"},
      {"HMg(ho)",
       "character 5: ho: elements begin with a capital, and phases are (s), (l), (g), (aq), did "
       "you mean Ho?"},
      {"2H2O", "character 1: a number without an element before it"},
      {"Ca(OH", "character 3: the bracket that opens at character 3 is not closed by ')'"},
      {"Ca(OH]2", "character 6: the bracket that opens at character 3 is not closed by ')'"},
      {"Ca()2", "character 4: an element should stand here, not ')'"},
      {"CuSO4.", "character 7: an element should stand here"},
      {"CaSO4.0.5H2O", "character 7: a number of 0 says nothing"},
      {"H2O(x)", "character 5: x: elements begin with a capital, and phases are (s), (l)"},
      {"H2O(l)(s)", "character 7: nothing should follow here, but '(' does"},
      {"H2O(l)2", "character 7: nothing should follow here, but '2' does"},
      {"Mg^2", "character 3: a charge needs its sign"},
      {"Mg++", "character 4: nothing should follow here, but '+' does"},
      {"Mg2+(aq)", "would be 2 atoms with one charge; write Mg+2 or Mg^2+"},
      {"S2-(aq)", "would be 2 atoms with one charge; write S-2 or S^2-"},
      {"Mg+21", "no ion has such a charge"},
      {"H0", "a number of 0 says nothing"},
      {"H10000", "this number is too large"},
      {"((((((((((H))))))))))", "too many brackets"},
      {"((H9999)9999)9999", "too many atoms"},
      {"H\xC3\xB6", "a character that no formula has"},
      {std::string(201, 'H'), "more than 200 characters"}};
  for (const auto& [text, told] : rows) {
    INFO(text);
    CHECK_THAT(told_of(text), ContainsSubstring(told));
  }
}
