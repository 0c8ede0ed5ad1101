#include "core/base/numbers.hpp"

#include <cmath>
#include <random>

#include "tests/catch.hpp"

using namespace nestcup;

TEST_CASE("a number is read as a whole or not at all") {
  CHECK(parse_number("21.5") == 21.5);
  CHECK(parse_number("+21.5") == 21.5);
  CHECK(parse_number("-1e-3") == -1e-3);
  for (const char* bad : {"", "+", "-", "+-1", "++1", "21,5", "21.5 ", " 21.5", "21.5C", "nan",
                          "inf", "-inf", "NAN(0)", "1e999", "0x10", "1.2.3"}) {
    INFO(bad);
    CHECK_FALSE(parse_number(bad).has_value());
  }
}

TEST_CASE("a number's text reads back as the same number") {
  CHECK(number_text(21.0) == "21.0");
  CHECK(number_text(0.1) == "0.1");
  CHECK(number_text(-0.0) == "-0.0");
  std::mt19937_64 random(7);
  std::uniform_real_distribution<double> exponent(-12.0, 12.0);
  for (int i = 0; i < 20000; ++i) {
    const double value = std::pow(10.0, exponent(random)) * (i % 2 == 0 ? 1.0 : -1.0);
    REQUIRE(parse_number(number_text(value)) == value);
  }
}
