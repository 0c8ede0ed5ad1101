#include "core/report/drawing/palette.hpp"

#include <array>
#include <cmath>

#include "tests/catch.hpp"

using namespace nestcup;

namespace {

double linear(double part) {
  return part <= 0.04045 ? part / 12.92 : std::pow((part + 0.055) / 1.055, 2.4);
}

/// Relative luminance after WCAG 2.1.
double luminance(const Colour& c) {
  return 0.2126 * linear(c.red) + 0.7152 * linear(c.green) + 0.0722 * linear(c.blue);
}

double contrast(const Colour& one, const Colour& other) {
  const double a = luminance(one);
  const double b = luminance(other);
  return (std::max(a, b) + 0.05) / (std::min(a, b) + 0.05);
}

}  // namespace

TEST_CASE("contrast of black and white is 21") {
  CHECK_THAT(contrast(colour_from_hex(0x000000), colour_from_hex(0xFFFFFF)), WithinAbs(21.0, 1e-9));
}

TEST_CASE("every text colour stands out from every ground by 4.5 or more (WCAG 2.1, 1.4.3)") {
  const std::array<Colour, 5> texts{palette::ink, palette::quiet_ink, palette::cup, palette::added,
                                    palette::fitted};
  const std::array<Colour, 5> grounds{palette::paper, palette::outer_band, palette::main_band,
                                      palette::scatter_band, palette::course};
  for (const Colour& text : texts) {
    for (const Colour& ground : grounds) CHECK(contrast(text, ground) >= 4.5);
  }
}

TEST_CASE("bands, course and grid are told from their ground by lightness alone") {
  CHECK(contrast(palette::scatter_band, palette::outer_band) >= 1.2);
  CHECK(contrast(palette::scatter_band, palette::main_band) >= 1.1);
  CHECK(contrast(palette::course, palette::outer_band) >= 1.35);
  CHECK(contrast(palette::course, palette::main_band) >= 1.2);
  CHECK(contrast(palette::main_band, palette::outer_band) >= 1.05);
}
