#include "drivers/protocol/text_lines.hpp"

#include <string>
#include <vector>

#include "tests/catch.hpp"

using namespace nestcup::drivers;

namespace {

// Lines that a stream gives when it comes in these pieces.
std::vector<std::string> lines_of(TextLines& lines, const std::vector<std::string>& pieces) {
  std::vector<std::string> found;
  for (const auto& piece : pieces) {
    std::span<const char> bytes(piece);
    TextLine line;
    while (lines.next(bytes, line)) found.emplace_back(line.text);
  }
  return found;
}

}  // namespace

TEST_CASE("every way to split a stream gives the same lines, whatever ends them") {
  const std::vector<std::string> wanted{"1.5,2", "# x", "-3,4.25"};
  for (const std::string end : {"\n", "\r", "\r\n"}) {
    std::string stream;
    for (const auto& line : wanted) stream += line + end;
    for (std::size_t a = 0; a <= stream.size(); ++a) {
      for (std::size_t b = a; b <= stream.size(); ++b) {
        TextLines lines;
        const auto found =
            lines_of(lines, {stream.substr(0, a), stream.substr(a, b - a), stream.substr(b)});
        INFO("cuts at " << a << " and " << b);
        REQUIRE(found == wanted);
      }
    }
  }
}

TEST_CASE("LF before CR ends a line and leaves an empty one") {
  TextLines lines;
  CHECK(lines_of(lines, {"1\n\r2\n\r"}) == std::vector<std::string>{"1", "", "2", ""});
}

TEST_CASE("a line beyond the longest is cut off and said to be") {
  for (const std::size_t size : {longest_text_line, longest_text_line + 1, std::size_t{100000}}) {
    TextLines lines;
    const std::string stream = std::string(size, '7') + "\n8\n";
    std::span<const char> bytes(stream);
    TextLine line;
    REQUIRE(lines.next(bytes, line));
    CHECK(line.text.size() == longest_text_line);
    CHECK(line.too_long == (size > longest_text_line));
    REQUIRE(lines.next(bytes, line));
    CHECK(line.text == "8");
    CHECK_FALSE(line.too_long);
  }
}

TEST_CASE("only printable ASCII and tabs are text") {
  for (int code = 0; code < 256; ++code) {
    const char byte = static_cast<char>(code);
    if (byte == '\n' || byte == '\r') continue;
    TextLines lines;
    const std::string stream = std::string("2") + byte + "1\n3\n";
    std::span<const char> bytes(stream);
    TextLine line;
    INFO("byte " << code);
    REQUIRE(lines.next(bytes, line));
    CHECK(line.bad_byte == !(code == '\t' || (code >= 0x20 && code <= 0x7E)));
    REQUIRE(lines.next(bytes, line));
    CHECK_FALSE(line.bad_byte);
  }
}

TEST_CASE("after a reset the next line counts as begun before listening") {
  TextLines lines;
  std::string stream = "1\n2";
  std::span<const char> bytes(stream);
  TextLine line;
  REQUIRE(lines.next(bytes, line));
  CHECK(line.first);
  REQUIRE_FALSE(lines.next(bytes, line));
  CHECK(lines.reset());  // the "2" was cut
  stream = "3\n4\n";
  bytes = stream;
  REQUIRE(lines.next(bytes, line));
  CHECK(line.text == "3");
  CHECK(line.first);
  REQUIRE(lines.next(bytes, line));
  CHECK(line.text == "4");
  CHECK_FALSE(line.first);
  CHECK_FALSE(lines.reset());  // nothing was under way
}
