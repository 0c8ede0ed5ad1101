// What bad lines make of frames.
#include "sim/spoilt_frame.hpp"

#include <algorithm>

#include "sim/modbus_frame.hpp"
#include "tests/catch.hpp"
#include "tests/sim/firmware_bench.hpp"

using namespace nestcup::sim;

namespace {

const std::string text_line = "21.30,22.04\r\n";
const std::string answer = modbus_frame(bytes_of("11 03 02 00 D7"));

/// Whether `short_one` is `long_one` with some bytes taken out.
bool is_within(std::string_view short_one, std::string_view long_one) {
  std::size_t at = 0;
  for (const char byte : long_one) {
    if (at < short_one.size() && short_one[at] == byte) ++at;
  }
  return at == short_one.size();
}

}  // namespace

TEST_CASE("doubled bytes: one in eight, each beside its twin") {
  Random random(1, 1);
  for (int turn = 0; turn < 50; ++turn) {
    const std::string heard = with_doubled_bytes(text_line, random);
    CHECK(heard.size() == text_line.size() + 2);
    CHECK(is_within(text_line, heard));
    std::string once = heard;
    once.erase(std::unique(once.begin(), once.end()), once.end());
    CHECK(once.size() <= text_line.size());
  }
}

TEST_CASE("NUL bytes are put in, and nothing is lost") {
  Random random(1, 1);
  for (int turn = 0; turn < 50; ++turn) {
    std::string heard = with_nul_bytes(text_line, random);
    CHECK(std::count(heard.begin(), heard.end(), '\0') == 2);
    heard.erase(std::remove(heard.begin(), heard.end(), '\0'), heard.end());
    CHECK(heard == text_line);
  }
}

TEST_CASE("an endless line has no end, foreign talk is whole frames") {
  Random random(1, 1);
  const std::string endless = endless_line(5000, random);
  CHECK(endless.size() == 5000);
  CHECK(endless.find_first_of("\r\n") == std::string::npos);
  CHECK(foreign_talk(2, Protocol::senml, random).back() == '\n');
  const std::string talk = foreign_talk(1, Protocol::modbus_rtu, random);
  REQUIRE(talk.size() == 15);
  CHECK(crc_holds(talk.substr(0, 8)));
  CHECK(crc_holds(talk.substr(8)));
  CHECK(talk[0] == talk[8]);
  CHECK(static_cast<unsigned char>(talk[0]) >= 200);
}

TEST_CASE("the listener's bit rate: the same hears all, another does not") {
  const std::string all = [] {
    std::string bytes;
    for (int byte = 0; byte < 256; ++byte) bytes += static_cast<char>(byte);
    return bytes;
  }();
  CHECK(heard_at(all, 1.0) == all);
  // Within 5 % the middle of the last bit is still in that bit.
  CHECK(heard_at(all, 1.03) == all);
  CHECK(heard_at(all, 0.97) == all);
  CHECK(heard_at(text_line, 12.0) != text_line);
  CHECK(heard_at("", 12.0).empty());
}

TEST_CASE("the listener's bit rate: worked out by hand") {
  // Twice as fast at 'U' (0x55): the line 0 10101010 1 is seen as bits of double length, 0 0 1 1 0
  // 0
  // ...: start, then 0 1 1 0 0 1 1 0 (first bit lowest) = 0x66, stop sampled in the next 0: no
  // stop.
  CHECK(hex_of(heard_at("U", 2.0).substr(0, 1)) == "00");
  // Half as fast at 0xFF: start bit 0, all else 1; the first bit is sampled 3 bits on.
  CHECK(hex_of(heard_at(std::string(1, '\xFF'), 0.5)) == "FF");
  // Twelve times as fast: each 0 is longer than a whole byte with its stop bit, and is NUL.
  CHECK(hex_of(heard_at("U", 12.0)) == "00 00 00 00 00");
  CHECK(hex_of(heard_at(std::string(1, '\0'), 12.0)) == "00");
}

TEST_CASE("a wrong CRC is wrong, all else is right") {
  Random random(1, 1);
  for (int turn = 0; turn < 50; ++turn) {
    const std::string wrong = with_wrong_crc(answer, random);
    CHECK(wrong.substr(0, 5) == answer.substr(0, 5));
    CHECK_FALSE(crc_holds(wrong));
    const std::string other = from_other_address(answer, random);
    CHECK(crc_holds(other));
    CHECK(other[0] != answer[0]);
    CHECK(static_cast<unsigned char>(other[0]) >= 1);
    CHECK(static_cast<unsigned char>(other[0]) <= 247);
    CHECK(other.substr(1, 4) == answer.substr(1, 4));
  }
}

TEST_CASE("another function, an exception") {
  CHECK(of_other_function(answer) == modbus_frame(bytes_of("11 04 02 00 D7")));
  CHECK(of_other_function(modbus_frame(bytes_of("11 04 02 00 D7"))) == answer);
  CHECK(as_exception(answer, 6) == modbus_frame(bytes_of("11 83 06")));
  CHECK(as_exception(modbus_frame(bytes_of("11 83 02")), 4) == modbus_frame(bytes_of("11 83 04")));
}

TEST_CASE("frames of no length are left alone") {
  Random random(1, 1);
  for (const std::string& tiny : {std::string(), std::string("x"), std::string("xy")}) {
    CHECK(with_wrong_crc(tiny, random) == tiny);
    CHECK(from_other_address(tiny, random) == tiny);
    CHECK(of_other_function(tiny) == tiny);
    CHECK(as_exception(tiny, 4) == tiny);
    CHECK(cut_off(tiny, random) == tiny);
    CHECK(corrupted(tiny, random).size() == tiny.size());
  }
  CHECK(with_nul_bytes("", random).empty());
  CHECK(with_doubled_bytes("", random).empty());
}
