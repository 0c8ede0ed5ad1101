#include "core/chemistry/cycle_path.hpp"

#include "core/chemistry/cycle.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

std::vector<Equation> equations(const std::vector<std::string>& texts) {
  std::vector<Equation> read;
  for (const std::string& text : texts) read.push_back(balanced_equation(text).value());
  return read;
}

CyclePath path(const std::string& target, const std::vector<std::string>& texts) {
  const std::vector<Equation> steps = equations(texts);
  return cycle_path(steps, solve_cycle(balanced_equation(target).value(), steps).multipliers);
}

using Words = std::vector<std::string>;

}  // namespace

TEST_CASE("magnesium oxide: metal into acid, water, oxide back out of it") {
  const CyclePath found =
      path("Mg(s) + 1/2 O2(g) -> MgO(s)",
           {"MgO(s) + 2 H+(aq) -> Mg+2(aq) + H2O(l)", "Mg(s) + 2 H+(aq) -> Mg+2(aq) + H2(g)",
            "H2(g) + 1/2 O2(g) -> H2O(l)"});
  CHECK(found.order == std::vector<std::size_t>{1, 2, 0});
  CHECK(found.levels == Words{"Mg(s) + 2 H+(aq) + 1/2 O2(g)", "Mg+2(aq) + H2(g) + 1/2 O2(g)",
                              "Mg+2(aq) + H2O(l)", "2 H+(aq) + MgO(s)"});
}

TEST_CASE("electrolytes are ions, and what does not change stands nowhere") {
  const CyclePath found = path("MgO(s) + 2 HCl(aq) -> MgCl2(aq) + H2O(l)",
                               {"MgO(s) + 2 HNO3(aq) -> Mg(NO3)2(aq) + H2O(l)"});
  CHECK(found.levels == Words{"MgO(s) + 2 H+(aq)", "Mg+2(aq) + H2O(l)"});
}

TEST_CASE("a reaction that takes no part is left out") {
  const std::vector<Equation> steps =
      equations({"H2(g) + 1/2 O2(g) -> H2O(l)", "H2O(l) -> H2O(g)", "C(s) + O2(g) -> CO2(g)"});
  const std::vector<Rational> multipliers{2, 2, 0};
  const CyclePath found = cycle_path(steps, multipliers);
  CHECK(found.order == std::vector<std::size_t>{0, 1});
  CHECK(found.levels == Words{"2 H2(g) + O2(g)", "2 H2O(l)", "2 H2O(g)"});
}

TEST_CASE("more than seven reactions are taken forwards first") {
  const std::vector<Equation> steps(9, equations({"H2O(l) -> H2O(g)"}).front());
  const std::vector<Rational> multipliers{1, -1, 1, -1, 1, -1, 1, -1, 1};
  const CyclePath found = cycle_path(steps, multipliers);
  CHECK(found.order == std::vector<std::size_t>{0, 2, 4, 6, 8, 1, 3, 5, 7});
  CHECK(found.levels.front() == "5 H2O(l)");
  CHECK(found.levels.back() == "4 H2O(l) + H2O(g)");
}
