#include "core/matter/equation.hpp"

#include <vector>

#include "tests/catch.hpp"

using namespace nestcup;

namespace {

Equation equation_of(const std::string& text) {
  const auto equation = parse_equation(text);
  INFO(text << ": " << (equation ? "" : equation.error().text));
  REQUIRE(equation.ok());
  return *equation;
}

std::string net(const std::string& equation, const std::string& species) {
  const auto formula = parse_formula(species);
  REQUIRE(formula.ok());
  return rational_text(net_coefficient(equation_of(equation), *formula));
}

std::string balance_told(const std::string& text) {
  const auto balanced = check_balance(equation_of(text));
  return balanced ? "" : balanced.error().text;
}

}  // namespace

TEST_CASE("fractions read exactly and print in lowest terms") {
  const auto text = [](const char* written) {
    const auto number = parse_rational(written);
    return number ? rational_text(*number) : "none";
  };
  CHECK(text("2") == "2");
  CHECK(text("-1") == "-1");
  CHECK(text("2/4") == "1/2");
  CHECK(text("0.25") == "1/4");
  CHECK(text("-0.1") == "-1/10");
  CHECK(text("0") == "0");
  for (const char* const wrong :
       {"", "-", "1/0", "1/", "/2", "1.", ".5", "1.5/2", "1e3", "--1", " 1", "1234567890123"}) {
    INFO(wrong);
    CHECK(text(wrong) == "none");
  }
  CHECK(to_double(*parse_rational("-3/8")) == -0.375);
}

TEST_CASE("an equation's terms, however they are set") {
  const std::string canonical = "MgO(s) + 2 H+(aq) -> Mg+2(aq) + H2O(l)";
  for (const char* const written :
       {"MgO(s) + 2 H+(aq) -> Mg+2(aq) + H2O(l)", "MgO(s)+2H+(aq)->Mg^2+(aq)+H2O(l)",
        " MgO (cr) + 2H+ (aq) = Mg+2(aq)  +  1 H2O(l)\t",
        "MgO(s) + 2.0 H+(aq) \xE2\x86\x92 Mg+2(aq) + H2O(l)"}) {
    INFO(written);
    CHECK(equation_of(written).text == canonical);
    CHECK(equation_of(equation_of(written).text).text == canonical);
  }
  const Equation water = equation_of("H2(g) + 0.5 O2(g) -> H2O(l)");
  CHECK(water.text == "H2(g) + 1/2 O2(g) -> H2O(l)");
  REQUIRE(water.left.size() == 2);
  CHECK(water.left[1].coefficient == Rational(1, 2));
  CHECK(water.left[1].species.text == "O2(g)");
  CHECK(equation_of("H+ + OH- -> H2O").text == "H+ + OH- -> H2O");
  CHECK(equation_of("H+ + Cl-->HCl").text == "H+ + Cl- -> HCl");
  CHECK(equation_of("Mg -> Mg+2 + 2 e-").right[1].species.charge == -1);
}

TEST_CASE("net coefficients count products as positive and take both sides into account") {
  CHECK(net("MgO(s) + 2 H+(aq) -> Mg+2(aq) + H2O(l)", "H+(aq)") == "-2");
  CHECK(net("MgO(s) + 2 H+(aq) -> Mg+2(aq) + H2O(l)", "H2O(l)") == "1");
  CHECK(net("MgO(s) + 2 H+(aq) -> Mg+2(aq) + H2O(l)", "H2O(g)") == "0");
  CHECK(net("3 H2O(l) -> 1/2 H2O(l) + 5/2 H2O(g)", "H2O(l)") == "-5/2");
}

TEST_CASE("what does not balance is named with the amounts on both sides") {
  CHECK(balance_told("H2(g) + 1/2 O2(g) -> H2O(l)").empty());
  CHECK(balance_told("2 Ag+(aq) + Cu(s) -> 2 Ag(s) + Cu+2(aq)").empty());
  CHECK(balance_told("1/3 Al2O3(s) -> 2/3 Al(s) + 1/2 O2(g)").empty());
  CHECK_THAT(balance_told("Mg(s) + H+(aq) -> Mg+2(aq) + H2(g)"),
             ContainsSubstring("not balanced: H 1 on the left, 2 on the right; charge +1 on the "
                               "left, +2 on the right"));
  CHECK_THAT(balance_told("H2(g) + O2(g) -> H2O(l)"),
             ContainsSubstring("not balanced: O 2 on the left, 1 on the right"));
  CHECK_THAT(balance_told("Mg(s) -> MgO(s)"),
             ContainsSubstring("not balanced: O 0 on the left, 1 on the right"));
  CHECK_THAT(balance_told("Cl-(aq) -> 1/2 Cl2(g)"),
             ContainsSubstring("charge -1 on the left, 0 on the right"));
  const auto found = imbalances(equation_of("CaO(s) -> Ca+2(aq)"));
  REQUIRE(found.size() == 2);
  CHECK(found[0].what == "O");
  CHECK(found[0].left == 1);
  CHECK(found[0].right == 0);
  CHECK(found[1].what == "charge");
  CHECK(balanced_equation("Mg(s) + 1/2 O2(g) -> MgO(s)").ok());
  CHECK_FALSE(balanced_equation("Mg(s) + O2(g) -> MgO(s)").ok());
  CHECK_FALSE(balanced_equation("Mg(s)").ok());
}

TEST_CASE("what is no equation is refused with the place") {
  const std::vector<std::pair<std::string, std::string>> rows{
      {"", "no arrow"},
      {"MgO(s) + 2 H+(aq)", "no arrow"},
      {"H2 -> H2 -> H2", "more than one arrow"},
      {"-> H2O", "on the left: a species is missing"},
      {"H2O ->", "on the right: a species is missing"},
      {"H2 + + O2 -> H2O", "a species is missing"},
      {"0 H2 -> H2", "\"0\" is no coefficient"},
      {"1/0 H2 -> H2", "\"1/0\" is no coefficient"},
      {"H2+O2 -> H2O", "a plus between two species needs blanks around it"},
      {"H2 + XgO -> H2O", "on the left: formula \"XgO\": character 1: Xg is no element"},
      {"H2 + O2 -> H2O + h2", "on the right: formula \"h2\""},
      {"2 -> H2", "there is nothing where a substance should stand"},
      {"H2 O2 -> H2", "nothing should follow here"},
      {std::string(1001, 'H'), "more than 1000 characters"}};
  for (const auto& [text, told] : rows) {
    INFO(text);
    const auto equation = parse_equation(text);
    REQUIRE_FALSE(equation.ok());
    CHECK(equation.error().kind == Fault::bad_data);
    CHECK_THAT(equation.error().text, ContainsSubstring(told));
  }
}
