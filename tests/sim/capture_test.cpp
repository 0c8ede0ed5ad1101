// Capture files, and how they are played.
#include "sim/capture_file.hpp"

#include "sim/capture_play.hpp"
#include "tests/catch.hpp"

using namespace nestcup;
using namespace nestcup::sim;

namespace {

const std::string head = "# nestcup-capture 1\n";

std::string told_of(const std::string& text) {
  const Result<Capture> read = parse_capture(text, "port.capture");
  if (read.ok()) return "was taken";
  CHECK(read.error().kind == Fault::bad_data);
  return read.error().text;
}

Capture capture_of(const std::string& lines) {
  Result<Capture> read = parse_capture(head + lines, "port.capture");
  INFO((read.ok() ? "" : read.error().text));
  REQUIRE(read.ok());
  return *read;
}

}  // namespace

TEST_CASE("pieces have an offset, a direction and bytes") {
  const Capture capture =
      capture_of("# from a board\n0 > 520a\n1250300 < 32312e350D0A\n# noted later\n1250300 < 00\n");
  REQUIRE(capture.pieces.size() == 3);
  CHECK_FALSE(capture.pieces[0].from_device);
  CHECK(capture.pieces[0].bytes == "R\n");
  CHECK(capture.pieces[1].offset_us == 1250300);
  CHECK(capture.pieces[1].from_device);
  CHECK(capture.pieces[1].bytes == "21.5\r\n");
  CHECK(capture.pieces[2].bytes == std::string(1, '\0'));
  CHECK(capture_text(capture) == head + "0 > 520a\n1250300 < 32312e350d0a\n1250300 < 00\n");
}

TEST_CASE("what is wrong with a capture is said with its line") {
  CHECK_THAT(told_of(""), StartsWith("port.capture:1: empty"));
  CHECK_THAT(told_of("# nestcup-capture 2\n"), StartsWith("port.capture:1: expected \"# nest"));
  CHECK_THAT(told_of("0 < 00\n"), StartsWith("port.capture:1: expected"));
  CHECK_THAT(told_of(head), StartsWith("port.capture:1: no bytes"));
  CHECK_THAT(told_of(head + "0 < 00"), StartsWith("port.capture:2: the last line has no end"));
  CHECK_THAT(told_of(head + "5 < 00\n4 < 00\n"), StartsWith("port.capture:3: the offset 4"));
  for (const auto* bad :
       {"", "x < 00", "-1 < 00", "1.5 < 00", "99999999999999999999 < 00", "1000000000000001 < 00",
        "0 = 00", "0< 00", "0  < 00", "0 <00", "0 <", "0 < ", "0 < 0", "0 < 0g", "0 < 00 00",
        "0 < 00\r", " 0 < 00", "0 < 000"}) {
    INFO(bad);
    CHECK_THAT(told_of(head + "0 < 41\n" + bad + "\n"), StartsWith("port.capture:3: expected"));
  }
}

TEST_CASE("a message shows no more of a line than it needs, and nothing unprintable") {
  const std::string text = told_of(head + "\x01\x02" + std::string(5000, 'z') + "\n");
  CHECK(text.size() < 200);
  CHECK(text.find("??zzz") != std::string::npos);
}

TEST_CASE("a capture that is not there") {
  const auto read = read_capture("/nowhere/port.capture");
  REQUIRE_FALSE(read.ok());
  CHECK(read.error().kind == Fault::no_input);
}

TEST_CASE("what was said unasked comes at its offset from the opening") {
  CapturePlay play(capture_of("100 < 41\n300 < 42\n300 < 43\n"), 1000);
  CHECK(play.next_us() == 1100);
  CHECK(play.due(1099).empty());
  CHECK(play.due(1100) == "A");
  CHECK(play.due(1200).empty());
  CHECK(play.next_us() == 1300);
  CHECK_FALSE(play.done());
  CHECK(play.due(5000) == "BC");
  CHECK(play.done());
  CHECK_FALSE(play.next_us().has_value());
}

TEST_CASE("answers come as long after the question as they did") {
  CapturePlay play(capture_of("100 < 41\n500 > 520a\n520 < 42\n700 > 520a\n790 < 43\n"), 0);
  CHECK(play.due(100) == "A");
  CHECK_FALSE(play.next_us().has_value());
  CHECK(play.due(100000).empty());
  play.hear("R", 100000);
  CHECK_FALSE(play.next_us().has_value());
  play.hear("\n", 200000);
  CHECK(play.next_us() == 200020);
  CHECK(play.due(200019).empty());
  CHECK(play.due(200020) == "B");
  play.hear("noise R\n", 300000);
  CHECK(play.next_us() == 300090);
  CHECK(play.due(300090) == "C");
  CHECK(play.done());
}

TEST_CASE("a question that comes before its turn is not lost") {
  CapturePlay play(capture_of("0 > 51\n50 < 41\n100 > 52\n170 < 42\n"), 0);
  play.hear("QR", 1000);
  CHECK(play.next_us() == 1050);
  CHECK(play.due(1060) == "A");
  CHECK(play.next_us() == 1130);
  CHECK(play.due(1130) == "B");
  CHECK(play.done());
}

TEST_CASE("questions in several pieces, one after the other, are all waited for") {
  CapturePlay play(capture_of("0 > 51\n10 > 52\n30 < 41\n"), 0);
  play.hear("Q", 1000);
  CHECK_FALSE(play.next_us().has_value());
  play.hear("R", 2000);
  CHECK(play.next_us() == 2020);
}

TEST_CASE("much that is no question takes no memory and hides none") {
  CapturePlay play(capture_of("0 > 51\n10 < 41\n"), 0);
  for (int i = 0; i < 100; ++i) play.hear(std::string(10000, 'x'), i);
  play.hear("Q", 1000);
  CHECK(play.due(1010) == "A");
}
