#include "drivers/protocol/text_number.hpp"

#include <array>

#include "tests/catch.hpp"

using namespace nestcup;
using namespace nestcup::drivers;

TEST_CASE("a field is a number as a whole, with the decimal mark that was agreed") {
  struct Row {
    const char* field;
    Decimal decimal;
    double value;
  };
  const std::array<Row, 9> rows{{
      {"21.5", Decimal::point, 21.5},
      {"+21.5", Decimal::point, 21.5},
      {"-0.0625", Decimal::point, -0.0625},
      {"2.15e1", Decimal::point, 21.5},
      {"21", Decimal::point, 21.0},
      {"21,5", Decimal::comma, 21.5},
      {"-3,25", Decimal::comma, -3.25},
      {"21", Decimal::comma, 21.0},
      {"+2,15E+1", Decimal::comma, 21.5},
  }};
  for (const auto& row : rows) {
    INFO(row.field);
    const TextNumber number = read_text_number(row.field, row.decimal);
    CHECK_FALSE(number.fault.has_value());
    CHECK(number.value == row.value);
  }
}

TEST_CASE("what is no number is told apart by its fault") {
  struct Row {
    const char* field;
    Decimal decimal;
    LineFault fault;
  };
  const std::array<Row, 24> rows{{
      {"", Decimal::point, LineFault::bad_number},
      {"21,5", Decimal::point, LineFault::bad_number},
      {"21.5", Decimal::comma, LineFault::bad_number},
      {"1.021,5", Decimal::comma, LineFault::bad_number},
      {"21.5.1", Decimal::point, LineFault::bad_number},
      {"21,5,1", Decimal::comma, LineFault::bad_number},
      {"21.5C", Decimal::point, LineFault::bad_number},
      {"21.5 C", Decimal::point, LineFault::bad_number},
      {"x21.5", Decimal::point, LineFault::bad_number},
      {"--21.5", Decimal::point, LineFault::bad_number},
      {"+-21.5", Decimal::point, LineFault::bad_number},
      {"0x15", Decimal::point, LineFault::bad_number},
      {"1e999", Decimal::point, LineFault::bad_number},
      {"----", Decimal::point, LineFault::bad_number},
      {"nano", Decimal::point, LineFault::bad_number},
      {"info", Decimal::point, LineFault::bad_number},
      {"nan", Decimal::point, LineFault::not_finite},
      {"-NaN", Decimal::point, LineFault::not_finite},
      {"NAN(0)", Decimal::point, LineFault::not_finite},
      {"inf", Decimal::point, LineFault::not_finite},
      {"-inf", Decimal::comma, LineFault::not_finite},
      {"+INF", Decimal::point, LineFault::not_finite},
      {"Infinity", Decimal::comma, LineFault::not_finite},
      {"-infinity", Decimal::point, LineFault::not_finite},
  }};
  for (const auto& row : rows) {
    INFO(row.field);
    CHECK(read_text_number(row.field, row.decimal).fault == row.fault);
  }
}
