#include "core/report/drawing/text_block.hpp"

#include "core/report/drawing/chart_page.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

const TextStyle style{10.0};

std::string joined(const TextBlock& block, const std::string& between) {
  std::string text;
  for (const std::string& line : block.lines) text += (text.empty() ? "" : between) + line;
  return text;
}

}  // namespace

TEST_CASE("lines are as long as there is room, and no word is lost", "[chart]") {
  ScratchCanvas scratch;
  Canvas& canvas = scratch.canvas();
  const std::string words = "scatter of the readings with all that the course leaves open";
  for (const double width : {60.0, 100.0, 200.0, 1000.0}) {
    const TextBlock block = wrapped(canvas, words, style, width);
    CAPTURE(width);
    CHECK(joined(block, " ") == words);
    for (std::size_t i = 0; i < block.lines.size(); ++i) {
      CHECK(canvas.text_width(block.lines[i], style) <= width);
      if (i == 0) continue;
      // The first word of a line would not have gone onto the line before.
      const std::string first = block.lines[i].substr(0, block.lines[i].find(' '));
      CHECK(canvas.text_width(block.lines[i - 1] + " " + first, style) > width);
    }
  }
}

TEST_CASE("a word that is too long is broken between characters", "[chart]") {
  ScratchCanvas scratch;
  Canvas& canvas = scratch.canvas();
  std::string word;
  for (int i = 0; i < 60; ++i) word += "\xC3\xBC";
  CHECK(breaks_words(canvas, word, style, 50.0));
  const TextBlock block = wrapped(canvas, word, style, 50.0);
  CHECK(joined(block, "") == word);
  CHECK(block.lines.size() > 2);
  for (const std::string& line : block.lines) CHECK(line.size() % 2 == 0);
}

TEST_CASE("equations are broken before their signs", "[chart]") {
  ScratchCanvas scratch;
  const TextStyle formula{10.0, palette::ink, false, true};
  const TextBlock block =
      wrapped(scratch.canvas(), "Mg(s) + 2 H+(aq) -> Mg+2(aq) + H2(g)", formula, 60.0);
  REQUIRE(block.lines.size() >= 3);
  CHECK(block.lines.front() == "Mg(s)");
  CHECK(block.lines[1] ==
        "+\xC2\xA0"
        "2\xC2\xA0"
        "H+(aq)");
}

TEST_CASE("a text gets smaller before it is cut", "[chart]") {
  ScratchCanvas scratch;
  Canvas& canvas = scratch.canvas();
  const std::string words = "corrected temperature rise";
  const double full = canvas.text_width(words, style);
  CHECK(fitted(canvas, words, style, full + 0.1, 1).style.size == style.size);
  const TextBlock smaller = fitted(canvas, words, style, 0.86 * full, 1);
  CHECK(smaller.lines == std::vector<std::string>{words});
  CHECK(smaller.style.size < style.size);
  CHECK(smaller.style.size >= 0.75 * style.size);
  const TextBlock cut = fitted(canvas, words, style, 0.4 * full, 1);
  REQUIRE(cut.lines.size() == 1);
  CHECK(cut.lines.front().ends_with("\xE2\x80\xA6"));
  CHECK(canvas.text_width(cut.lines.front(), cut.style) <= 0.4 * full);
}

TEST_CASE("nothing gives no lines", "[chart]") {
  ScratchCanvas scratch;
  CHECK(wrapped(scratch.canvas(), " \n ", style, 50.0).lines.empty());
  CHECK(fitted(scratch.canvas(), "", style, 50.0, 1).height() == 0.0);
}
