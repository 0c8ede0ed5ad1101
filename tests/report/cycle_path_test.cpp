#include "core/report/cycle_path.hpp"

#include "tests/catch.hpp"

using namespace nestcup;

namespace {

Equation equation_of(const std::string& text) {
  return balanced_equation(text).value();
}

}  // namespace

TEST_CASE("A cycle goes from what is there to what comes of it", "[cycle_path]") {
  const CyclePath path = cycle_path(equation_of("Mg(s) + 1/2 O2(g) -> MgO(s)"),
                                    {{equation_of("MgO(s) + 2 H+(aq) -> Mg+2(aq) + H2O(l)"), -1},
                                     {equation_of("Mg(s) + 2 H+(aq) -> Mg+2(aq) + H2(g)"), 1},
                                     {equation_of("H2(g) + 1/2 O2(g) -> H2O(l)"), 1}});
  REQUIRE(path.order.size() == 3);
  CHECK(path.order.back() == 0);
  REQUIRE(path.levels.size() == 4);
  // The acid is lent and given back, so that it stands on the first level and on the last.
  CHECK(path.levels.front() == "2 H+(aq) + Mg(s) + 1/2 O2(g)");
  CHECK(path.levels.back() == "2 H+(aq) + MgO(s)");
  for (const std::string& level : path.levels) CHECK(level.find('-') == std::string::npos);
}

TEST_CASE("Fractions of a step and steps backwards stay exact", "[cycle_path]") {
  const CyclePath path = cycle_path(equation_of("C(s) + 1/2 O2(g) -> CO(g)"),
                                    {{equation_of("2 CO(g) + O2(g) -> 2 CO2(g)"), Rational(-1, 2)},
                                     {equation_of("C(s) + O2(g) -> CO2(g)"), 1}});
  CHECK(path.order == std::vector<std::size_t>{1, 0});
  CHECK(path.levels == std::vector<std::string>{"C(s) + O2(g)", "CO2(g)", "CO(g) + 1/2 O2(g)"});
}
