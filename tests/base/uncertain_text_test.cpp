#include "core/base/uncertain_text.hpp"

#include "tests/catch.hpp"

using namespace nestcup;

namespace {

/// The text in ASCII, with "+-" for the sign.
std::string ascii_text(double value, double u, std::string_view unit = "K") {
  std::string text = uncertain_text({value, u, {}}, unit);
  const std::string sign = "\xC2\xB1";
  if (const auto at = text.find(sign); at != std::string::npos) text.replace(at, 2, "+-");
  return text;
}

}  // namespace

TEST_CASE("two significant digits of the uncertainty set the last place") {
  CHECK(ascii_text(6.21437, 0.0056) == "6.2144 +- 0.0056 K");
  CHECK(ascii_text(6.21437, 0.056) == "6.214 +- 0.056 K");
  CHECK(ascii_text(-4.0, 0.12) == "-4.00 +- 0.12 K");
  CHECK(ascii_text(100.02147, 0.00035, "g") == "100.02147 +- 0.00035 g");
  CHECK(ascii_text(28.04, 1.5, "J/K") == "28.0 +- 1.5 J/K");
  CHECK(ascii_text(28.04, 15.4, "J/K") == "28 +- 15 J/K");
}

TEST_CASE("an uncertainty that rounds up to the next power of ten moves the place") {
  CHECK(ascii_text(6.2144, 0.0996) == "6.21 +- 0.10 K");
  CHECK(ascii_text(6.2144, 0.0994) == "6.214 +- 0.099 K");
  CHECK(ascii_text(1234.0, 99.6) == "1230 +- 100 K");
}

TEST_CASE("large uncertainties round to tens and hundreds") {
  CHECK(ascii_text(-601'234.0, 1234.0, "J/mol") == "-601200 +- 1200 J/mol");
}

TEST_CASE("zero carries no sign, and no unit leaves no blank") {
  CHECK(ascii_text(-0.0001, 0.06) == "0.000 +- 0.060 K");
  CHECK(ascii_text(0.5, 0.1, "") == "0.50 +- 0.10");
}

TEST_CASE("a value without uncertainty stands alone") {
  CHECK(ascii_text(6.25, 0.0) == "6.25 K");
  CHECK(ascii_text(6.0, 0.0) == "6.0 K");
}
