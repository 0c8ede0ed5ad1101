// Dots, large digits and plots, read back from the characters by what Unicode says of them.
#include <algorithm>
#include <cmath>
#include <set>

#include "tests/catch.hpp"
#include "tools/cli/text_layout.hpp"
#include "tools/watch/digits.hpp"
#include "tools/watch/plot.hpp"

using namespace nestcup;
using namespace nestcup::watch;

namespace {

using Dots = std::set<std::pair<int, int>>;  // x from the left, y from above

/// The code points of a text.
std::vector<unsigned> code_points(const std::string& text) {
  std::vector<unsigned> points;
  for (const char letter : text) {
    const auto byte = static_cast<unsigned char>(letter);
    if ((byte & 0xC0U) == 0x80U) {
      points.back() = (points.back() << 6U) | (byte & 0x3FU);
    } else {
      points.push_back(byte < 0x80U ? byte : byte < 0xE0U ? byte & 0x1FU : byte & 0x0FU);
    }
  }
  return points;
}

/// Dots of Braille rows. The Unicode Standard numbers them 1 to 3 down the left, 4 to 6 down the
/// right, 7 and 8 below; dot n is bit n - 1.
Dots braille_dots(const std::vector<std::string>& rows) {
  constexpr int across[] = {0, 0, 0, 1, 1, 1, 0, 1}, down[] = {0, 1, 2, 0, 1, 2, 3, 3};
  Dots dots;
  for (std::size_t row = 0; row < rows.size(); ++row) {
    const auto cells = code_points(rows[row]);
    for (std::size_t column = 0; column < cells.size(); ++column) {
      if (cells[column] == ' ') continue;
      for (int n = 0; n < 8; ++n) {
        if (((cells[column] - 0x2800U) >> static_cast<unsigned>(n)) % 2 == 0) continue;
        dots.emplace(2 * static_cast<int>(column) + across[n], 4 * static_cast<int>(row) + down[n]);
      }
    }
  }
  return dots;
}

Words english_words() {
  return {Language::english, Charset::utf8};
}

PlotCurve curve_with(int points, double span_min, double (*degC)(double)) {
  PlotCurve curve;
  curve.parts.emplace_back();
  for (int i = 0; i <= points; ++i) {
    const double minute = -span_min + span_min * i / points;
    curve.parts.back().push_back({minute, degC(minute)});
  }
  return curve;
}

/// The plot's own rows without labels and axes.
std::vector<std::string> inside(const std::vector<std::string>& lines) {
  std::vector<std::string> rows;
  for (std::size_t i = 0; i + 1 < lines.size(); ++i) {
    for (const unsigned axis : {0x2502U, 0x2524U}) {
      const std::string bar = utf8_of(axis);
      const auto at = lines[i].find(bar);
      if (at != std::string::npos) rows.push_back(lines[i].substr(at + bar.size()));
    }
  }
  return rows;
}

}  // namespace

TEST_CASE("a dot stands where it was set", "[watch]") {
  for (int x = 0; x < 4; ++x) {
    for (int y = 0; y < 8; ++y) {
      DotGrid grid(2, 2, Charset::utf8);
      grid.set(x, y);
      CHECK(braille_dots(grid.text()) == Dots{{x, 7 - y}});
    }
  }
  DotGrid grid(2, 2, Charset::utf8);
  for (const auto& [x, y] : Dots{{-1, 0}, {4, 0}, {0, -1}, {0, 8}}) grid.set(x, y);
  CHECK(grid.text() == std::vector<std::string>{"  ", "  "});
}

TEST_CASE("a line has every dot between its ends, or some of its columns", "[watch]") {
  DotGrid grid(4, 2, Charset::utf8), dotted(4, 2, Charset::utf8);
  grid.line(0, 0, 7, 7);
  dotted.line(0, 7, 7, 0, 2);
  Dots diagonal, other;
  for (int i = 0; i < 8; ++i) diagonal.emplace(i, 7 - i);
  for (int i = 0; i < 8; i += 2) other.emplace(i, i);
  CHECK(braille_dots(grid.text()) == diagonal);
  CHECK(braille_dots(dotted.text()) == other);
}

TEST_CASE("without Unicode a character is a dot, and lines have their marks", "[watch]") {
  DotGrid grid(4, 3, Charset::ascii);
  grid.line(0, 0, 3, 0, 1, '*');
  grid.line(0, 0, 0, 2, 1, '+');
  CHECK(grid.text() == std::vector<std::string>{"+   ", "+   ", "****"});
}

TEST_CASE("large digits are all different, and twice as large is just that", "[watch]") {
  std::set<std::vector<std::string>> seen;
  for (const char* digit : {"0", "1", "2", "3", "4", "5", "6", "7", "8", "9", "-", ".", ","}) {
    seen.insert(large(digit, 1, Charset::ascii));
  }
  CHECK(seen.size() == 13);
  const auto small = large("-29.46", 1, Charset::ascii), twice = large("-29.46", 2, Charset::ascii);
  REQUIRE(small.size() == 5);
  REQUIRE(twice.size() == 10);
  CHECK(small[1] == "      # # #   # # #  ");
  CHECK(small[2] == "### ### ###   ### ###");
  for (std::size_t row = 0; row < twice.size(); ++row) {
    REQUIRE(twice[row].size() == 2 * small[row / 2].size());
    for (std::size_t x = 0; x < twice[row].size(); ++x) {
      CHECK(twice[row][x] == small[row / 2][x / 2]);
    }
  }
  CHECK(large("\xE2\x88\x92"
              "1 K",
              1, Charset::ascii) == large("-1", 1, Charset::ascii));
}

TEST_CASE("half blocks show the same squares", "[watch]") {
  const auto squares = large("30,85", 1, Charset::ascii), blocks = large("30,85", 1, Charset::utf8);
  REQUIRE(static_cast<int>(blocks.size()) == large_rows(1, Charset::utf8));
  for (std::size_t row = 0; row < squares.size(); ++row) {
    const auto cells = code_points(blocks[row / 2]);
    REQUIRE(cells.size() == squares[row].size());
    for (std::size_t x = 0; x < cells.size(); ++x) {
      const bool is_set = cells[x] == 0x2588U || cells[x] == (row % 2 == 0 ? 0x2580U : 0x2584U);
      CHECK(is_set == (squares[row][x] == '#'));
    }
  }
}

TEST_CASE("a plot fills its room from the lowest to the highest", "[watch]") {
  const auto curve = curve_with(600, 10.0, [](double minute) { return 30.0 + minute; });
  const auto lines = plot({curve}, 10.0, 60, 12, english_words());
  REQUIRE(lines.size() == 12);
  for (const auto& line : lines) CHECK(cli::display_width(line) <= 60);
  const auto rows = inside(lines);
  REQUIRE(rows.size() == 11);
  const auto dots = braille_dots(rows);
  const int width = 2 * static_cast<int>(cli::display_width(rows.front()));
  CHECK(dots.contains({0, 43}));
  CHECK(dots.contains({width - 1, 0}));
  // A straight line: every dot within one of where it belongs.
  for (const auto& [x, y] : dots) {
    CHECK(std::abs(43.0 * (1.0 - static_cast<double>(x) / (width - 1)) - y) <= 1.0);
  }
  CHECK(lines.front().find("30") != std::string::npos);
  CHECK(lines.back().find("min before now") != std::string::npos);
  CHECK(lines.back().back() == '0');
}

TEST_CASE("nothing is drawn across a hole, nor what lies before the span", "[watch]") {
  PlotCurve curve;
  curve.parts = {{{-20.0, 90.0}, {-10.0, 20.0}, {-8.0, 21.0}}, {{-2.0, 24.0}, {0.0, 25.0}}};
  const auto lines = plot({curve}, 10.0, 60, 12, english_words());
  const auto rows = inside(lines);
  const int width = 2 * static_cast<int>(cli::display_width(rows.front()));
  for (const auto& [x, y] : braille_dots(rows)) {
    const double minute = 10.0 * x / (width - 1) - 10.0;
    CHECK((minute < -7.9 || minute > -2.1));
  }
  for (const auto& line : lines) CHECK(line.find("90") == std::string::npos);
}

TEST_CASE("a steady curve is no mountain, and too little room draws nothing", "[watch]") {
  const auto curve =
      curve_with(100, 5.0, [](double minute) { return 21.0 + 0.001 * std::sin(40.0 * minute); });
  const auto dots = braille_dots(inside(plot({curve}, 5.0, 60, 12, english_words())));
  REQUIRE_FALSE(dots.empty());
  const auto [low, high] = std::minmax_element(
      dots.begin(), dots.end(), [](const auto& a, const auto& b) { return a.second < b.second; });
  CHECK(high->second - low->second <= 1);
  CHECK(plot({curve}, 5.0, 60, 3, english_words()).empty());
  CHECK(plot({curve}, 5.0, 12, 12, english_words()).empty());
  CHECK(plot({}, 5.0, 60, 12, english_words()).empty());
}
