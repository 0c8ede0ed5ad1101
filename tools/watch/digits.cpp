#include "tools/watch/digits.hpp"

#include <array>

namespace nestcup::watch {
namespace {

constexpr int glyph_rows = 5;

/// Strokes on a grid of squares, row by row from above.
struct Glyph {
  int width = 3;
  std::array<std::string_view, glyph_rows> rows{};
};

constexpr std::array<Glyph, 10> digit_glyphs{{
    {3, {"###", "# #", "# #", "# #", "###"}},
    {3, {" # ", "## ", " # ", " # ", "###"}},
    {3, {"###", "  #", "###", "#  ", "###"}},
    {3, {"###", "  #", "###", "  #", "###"}},
    {3, {"# #", "# #", "###", "  #", "  #"}},
    {3, {"###", "#  ", "###", "  #", "###"}},
    {3, {"###", "#  ", "###", "# #", "###"}},
    {3, {"###", "  #", " # ", " # ", " # "}},
    {3, {"###", "# #", "###", "# #", "###"}},
    {3, {"###", "# #", "###", "  #", "###"}},
}};
constexpr Glyph dash_glyph{3, {"   ", "   ", "###", "   ", "   "}};
constexpr Glyph point_glyph{1, {" ", " ", " ", " ", "#"}};
constexpr Glyph comma_glyph{1, {" ", " ", " ", "#", "#"}};

/// The glyphs of a text; minus sign and en dash are three bytes each that begin with 0xE2.
std::vector<const Glyph*> glyphs_of(std::string_view text) {
  std::vector<const Glyph*> glyphs;
  for (const char letter : text) {
    if (letter >= '0' && letter <= '9') {
      glyphs.push_back(&digit_glyphs[static_cast<std::size_t>(letter - '0')]);
    } else if (letter == '-' || letter == '\xE2') {
      glyphs.push_back(&dash_glyph);
    } else if (letter == '.') {
      glyphs.push_back(&point_glyph);
    } else if (letter == ',') {
      glyphs.push_back(&comma_glyph);
    }
  }
  return glyphs;
}

/// The squares of a text, row by row: as many as `scale` each way for one of the glyph's.
std::vector<std::vector<bool>> squares_of(const std::vector<const Glyph*>& glyphs, int scale) {
  std::vector<std::vector<bool>> squares(static_cast<std::size_t>(glyph_rows * scale));
  for (std::size_t row = 0; row < squares.size(); ++row) {
    for (const Glyph* glyph : glyphs) {
      if (!squares[row].empty()) squares[row].insert(squares[row].end(), scale, false);
      for (const char square : glyph->rows[row / static_cast<std::size_t>(scale)]) {
        squares[row].insert(squares[row].end(), scale, square == '#');
      }
    }
  }
  return squares;
}

std::string half_block(bool above, bool below) {
  if (above && below) return utf8_of(0x2588);
  if (above) return utf8_of(0x2580);
  return below ? utf8_of(0x2584) : " ";
}

}  // namespace

int large_rows(int scale, Charset charset) {
  const int squares = glyph_rows * scale;
  return charset == Charset::utf8 ? (squares + 1) / 2 : squares;
}

std::vector<std::string> large(std::string_view text, int scale, Charset charset) {
  const auto squares = squares_of(glyphs_of(text), scale);
  const std::size_t high = charset == Charset::utf8 ? 2 : 1;
  std::vector<std::string> rows;
  for (std::size_t row = 0; row < squares.size(); row += high) {
    std::string line;
    for (std::size_t x = 0; x < squares[row].size(); ++x) {
      const bool above = squares[row][x];
      if (charset == Charset::ascii) {
        line += above ? '#' : ' ';
      } else {
        line += half_block(above, row + 1 < squares.size() && squares[row + 1][x]);
      }
    }
    rows.push_back(std::move(line));
  }
  return rows;
}

}  // namespace nestcup::watch
