#include "core/working/expression.hpp"

#include <map>
#include <stdexcept>
#include <string>

#include "tests/catch.hpp"

using namespace nestcup;

namespace {

double value_of(const std::string& expression) {
  const std::map<std::string, double, std::less<>> names{{"a", 2.0}, {"b", 3.0}, {"C_1", 10.0}};
  return evaluated(expression,
                   [&](std::string_view name) { return Measured(names.find(name)->second); })
      .value();
}

}  // namespace

TEST_CASE("Expressions have the usual ranks") {
  CHECK(value_of("a + b * C_1") == 32.0);
  CHECK(value_of("(a + b) * C_1") == 50.0);
  CHECK(value_of("C_1 - a - b") == 5.0);
  CHECK(value_of("C_1 / a / b") == Approx(10.0 / 6.0));
  CHECK(value_of("-a * b") == -6.0);
  CHECK(value_of("C_1 * (-a)") == -20.0);
  CHECK(value_of("a - -b") == 5.0);
  CHECK(value_of("1000 * a / 0.5") == 4000.0);
  CHECK(value_of("min(C_1, a, b)") == 2.0);
  CHECK(value_of("(1/2) * C_1") == 5.0);
}

TEST_CASE("Errors go through an expression") {
  Inputs inputs;
  const InputId input = inputs.add({"x", ErrorSource::volume, {}});
  const Measured x = Measured::of(4.0, input, 0.1);
  const Measured same = evaluated("(x - x) + 3 * x", [&](std::string_view) { return x; });
  CHECK(same.value() == Approx(12.0));
  CHECK(same.u() == Approx(0.3));
}

TEST_CASE("An expression that cannot be read is a mistake that shows") {
  for (const std::string text : {"", "a +", "(a", "a b", "a $ b", "min a", "1.2.3"}) {
    INFO(text);
    CHECK_THROWS_AS(value_of(text), std::invalid_argument);
  }
}

TEST_CASE("Pieces tell a sign from a subtraction") {
  const std::string expression = "-q / (1000 * x) - r";
  const auto pieces = pieces_of(expression);
  REQUIRE(pieces.size() == 10);
  CHECK(pieces[0].in_front);
  CHECK(pieces[1].kind == ExpressionPiece::Kind::name);
  CHECK(pieces[4].kind == ExpressionPiece::Kind::number);
  CHECK_FALSE(pieces[8].in_front);
}
