#include "core/chemistry/cycle.hpp"

#include "tests/catch.hpp"

using namespace nestcup;

namespace {

Equation equation(const std::string& text) {
  return balanced_equation(text).value();
}

std::vector<std::string> multipliers(const std::string& target,
                                     const std::vector<std::string>& texts) {
  std::vector<Equation> equations;
  for (const std::string& text : texts) equations.push_back(equation(text));
  std::vector<std::string> found;
  for (const Rational& number : solve_cycle(equation(target), equations).multipliers) {
    found.push_back(rational_text(number));
  }
  return found;
}

using Texts = std::vector<std::string>;

}  // namespace

TEST_CASE("the formation of magnesium oxide out of two reactions in acid and that of water") {
  CHECK(multipliers("Mg(s) + 1/2 O2(g) -> MgO(s)",
                    {"MgO(s) + 2 H+(aq) -> Mg+2(aq) + H2O(l)",
                     "Mg(s) + 2 H+(aq) -> Mg+2(aq) + H2(g)", "H2(g) + 1/2 O2(g) -> H2O(l)"}) ==
        Texts{"-1", "1", "1"});
}

TEST_CASE("multipliers are exact fractions, and equations may be written otherwise") {
  CHECK(multipliers("2 Mg(s) + O2(g) -> 2 MgO(s)",
                    {"3 MgO(s) + 6 HCl(aq) -> 3 MgCl2(aq) + 3 H2O(l)",
                     "Mg(s) + 2 HCl(aq) -> MgCl2(aq) + H2(g)", "2 H2O(l) -> 2 H2(g) + O2(g)"}) ==
        Texts{"-2/3", "2", "-1"});
}

TEST_CASE("an equation that is not needed gets 0") {
  CHECK(multipliers("H+(aq) + OH-(aq) -> H2O(l)",
                    {"HCl(aq) + NaOH(aq) -> NaCl(aq) + H2O(l)", "NH3(aq) + H+(aq) -> NH4+(aq)"}) ==
        Texts{"1", "0"});
}

TEST_CASE("a target out of reach names the species that stay over") {
  const std::vector<Equation> equations{equation("MgO(s) + 2 H+(aq) -> Mg+2(aq) + H2O(l)"),
                                        equation("Mg(s) + 2 H+(aq) -> Mg+2(aq) + H2(g)")};
  const CycleSolution solution = solve_cycle(equation("Mg(s) + 1/2 O2(g) -> MgO(s)"), equations);
  CHECK(solution.multipliers.empty());
  CHECK(solution.dependent.empty());
  REQUIRE_FALSE(solution.left_over.empty());
  CHECK(std::find(solution.left_over.begin(), solution.left_over.end(), "O2(g)") !=
        solution.left_over.end());
}

TEST_CASE("equations that make each other up are named, others are not") {
  const std::vector<Equation> equations{equation("Mg(s) + 2 H+(aq) -> Mg+2(aq) + H2(g)"),
                                        equation("H2(g) + 1/2 O2(g) -> H2O(l)"),
                                        equation("H2O(l) -> H2(g) + 1/2 O2(g)")};
  const CycleSolution solution = solve_cycle(equation("H2(g) + 1/2 O2(g) -> H2O(l)"), equations);
  CHECK(solution.multipliers.empty());
  CHECK(solution.dependent == std::vector<std::size_t>{1, 2});
}
