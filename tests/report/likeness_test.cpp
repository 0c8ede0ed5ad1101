#include "core/report/drawing/likeness.hpp"

#include <cstdlib>

#include "core/report/drawing/chart_page.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

const std::string minus = "\xE2\x88\x92";

double width(const std::string& words) {
  ScratchCanvas scratch;
  return scratch.canvas().text_width(words, {10.0});
}

}  // namespace

TEST_CASE("characters have likenesses in ASCII") {
  CHECK(ascii_likeness(minus) == "-");
  CHECK(ascii_likeness("\xC2\xB1") == "+/-");
  CHECK(ascii_likeness("\xC3\xBC") == "ue");
  CHECK(ascii_likeness("a").empty());
  CHECK(ascii_likeness("\xE4\xB8\xAD").empty());
}

TEST_CASE("the length of a character shows in its first byte (RFC 3629)") {
  CHECK(utf8_length('a') == 1);
  CHECK(utf8_length('\xC3') == 2);
  CHECK(utf8_length('\xE2') == 3);
  CHECK(utf8_length('\xF0') == 4);
  CHECK(utf8_length('\x88') == 1);
}

// The test report_without_fonts runs this where fontconfig finds no font.
TEST_CASE("where no font has them, signs are drawn as their likenesses", "[chart]") {
  const bool no_fonts = std::getenv("NESTCUP_NO_FONTS") != nullptr;
  CHECK((width(minus + "5.2 \xC2\xB1 0.1 K") == width("-5.2 +/- 0.1 K")) == no_fonts);
  CHECK(width(minus) > 0.0);
}
