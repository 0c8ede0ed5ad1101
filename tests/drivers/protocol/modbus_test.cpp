// Modbus RTU: frames of the published specifications, answers and all that is none.
#include <string>
#include <vector>

#include "drivers/protocol/modbus_frame.hpp"
#include "tests/catch.hpp"
#include "tests/drivers/asking.hpp"

using namespace nestcup;
using namespace nestcup::drivers;
using namespace nestcup::drivers::testing;

namespace {

std::vector<Byte> numbers_of(const std::string& bytes) {
  return {bytes.begin(), bytes.end()};
}

/// A frame: these bytes and their checksum.
std::string framed(const std::string& bytes) {
  const std::uint16_t crc = modbus_crc(numbers_of(bytes));
  return bytes + static_cast<char>(crc & 0xFF) + static_cast<char>(crc >> 8);
}

PortSettings modbus_port() {
  PortSettings port;
  port.name = "line";
  port.protocol = "modbus-rtu";
  port.mode.baud = 19200;
  return port;
}

ProbeSettings in_register(const RegisterPlace& place, double scale = 1.0) {
  ProbeSettings probe;
  probe.name = "r" + std::to_string(place.first);
  probe.channel.name = probe.name;
  probe.channel.registers = place;
  probe.channel.scale = scale;
  return probe;
}

/// One probe: device 1, input register 0, int16, a tenth of a degree a step.
Asking tenths() {
  return Asking(modbus_port(), {in_register({}, 0.1)});
}

const std::string good_answer = framed(bytes_of("01 04 02 00 D7"));  // 21.5

}  // namespace

TEST_CASE("the checksum is that of the specification") {
  // MODBUS over Serial Line V1.02, appendix B: a frame of device 2 and function 7 has the checksum
  // 0x1241, sent low byte first.
  CHECK(modbus_crc(numbers_of(bytes_of("02 07"))) == 0x1241);
  CHECK(checksum_holds(numbers_of(bytes_of("02 07 41 12"))));
  CHECK_FALSE(checksum_holds(numbers_of(bytes_of("02 07 12 41"))));
  // Rocksoft's model of checksums (Williams 1993): "123456789" gives 0x4B37 under this polynomial.
  CHECK(modbus_crc(numbers_of("123456789")) == 0x4B37);
  CHECK_FALSE(checksum_holds(std::vector<Byte>{0xFF, 0xFF}));
}

TEST_CASE("a question is that of the specification") {
  // MODBUS Application Protocol V1.1b3, 6.3: read holding registers 108 to 110 is
  // 03 00 6B 00 03; 6.4: read input register 9 is 04 00 08 00 01.
  CHECK(register_question({17, 3, 0x6B}, 3) == framed(bytes_of("11 03 00 6B 00 03")));
  CHECK(register_question({1, 4, 8}, 1) == framed(bytes_of("01 04 00 08 00 01")));
}

TEST_CASE("the answers of the specification are read") {
  // The same, 6.3: 06 02 2B 00 00 00 64 is 555, 0 and 100; 6.4: 02 00 0A is 10.
  Asking three(modbus_port(), {in_register({17, 3, 0x6B}), in_register({17, 3, 0x6C}),
                               in_register({17, 3, 0x6D})});
  const std::string question = three.ask();
  CHECK(question == register_question({17, 3, 0x6B}, 3));
  three.hear(framed(bytes_of("11 03 06 02 2B 00 00 00 64")));
  CHECK(three.values() == std::vector<double>{0.0, 100.0});
  CHECK(three.faults(0, LineFault::out_of_range) == 1);  // 555 degC
  Asking one(modbus_port(), {in_register({1, 4, 8})});
  (void)one.ask();
  one.hear(framed(bytes_of("01 04 02 00 0A")));
  CHECK(one.values() == std::vector<double>{10.0});
}

TEST_CASE("numbers are read in every format and order of bytes") {
  using F = RegisterFormat;
  using O = WordOrder;
  const auto number = [](const char* hex, F format, O order = O::ABCD) {
    return register_number(numbers_of(bytes_of(hex)), format, order);
  };
  CHECK(number("FF 38", F::int16) == -200.0);
  CHECK(number("FF 38", F::uint16) == 65336.0);
  CHECK(number("FF FF FF 38", F::int32) == -200.0);
  CHECK(number("FF FF FF 38", F::uint32) == 4294967096.0);
  // 21.5 in IEEE 754 binary32: sign 0, exponent 131, fraction 0x2C0000, which is 0x41AC0000.
  CHECK(number("41 AC 00 00", F::float32) == 21.5);
  // 0x01020304 in the four orders.
  CHECK(number("01 02 03 04", F::uint32, O::ABCD) == 16909060.0);
  CHECK(number("03 04 01 02", F::uint32, O::CDAB) == 16909060.0);
  CHECK(number("02 01 04 03", F::uint32, O::BADC) == 16909060.0);
  CHECK(number("04 03 02 01", F::uint32, O::DCBA) == 16909060.0);
}

TEST_CASE("registers side by side are one question, others are not") {
  RegisterPlace wide;
  wide.first = 10;
  wide.format = RegisterFormat::float32;
  Asking asking(modbus_port(), {in_register({1, 4, 1}), in_register({1, 4, 0}), in_register(wide),
                                in_register({2, 4, 2}), in_register({1, 3, 2})});
  std::vector<std::string> questions;
  for (std::string next = asking.ask(); !next.empty(); next = asking.ask()) {
    questions.push_back(next);
  }
  CHECK(questions == std::vector<std::string>{
                         register_question({1, 3, 2}, 1), register_question({1, 4, 0}, 2),
                         register_question({1, 4, 10}, 2), register_question({2, 4, 2}, 1)});
  CHECK(asking.ask() == questions[0]);  // and the next round begins
}

TEST_CASE("an answer is found at every split, behind rubbish and behind the question's echo") {
  const std::string echo = register_question({}, 1);
  const std::string foreign = framed(bytes_of("07 04 02 01 02"));
  const std::string spoilt = framed(bytes_of("01 04 02 00 D8")).replace(4, 1, "\x44");
  for (const std::string& before :
       {std::string(), echo, std::string("\0\xFF\x01\x04", 4), foreign, spoilt, foreign + echo}) {
    const std::string stream = before + good_answer;
    for (std::size_t split = 0; split <= stream.size(); ++split) {
      Asking asking = tenths();
      (void)asking.ask();
      asking.hear(stream.substr(0, split));
      asking.hear(stream.substr(split));
      INFO("before: " << before.size() << " bytes, split at " << split);
      REQUIRE(asking.values() == std::vector<double>{21.5});
      REQUIRE(asking.decoder->is_answered());
    }
  }
}

TEST_CASE("what is no answer is told apart and gives no reading") {
  const struct {
    const char* what;
    std::string heard;
    LineFault fault;
  } table[] = {
      {"spoilt", good_answer.substr(0, 4) + "\x44" + good_answer.substr(5),
       LineFault::bad_checksum},
      {"cut", good_answer.substr(0, 5), LineFault::incomplete},
      {"another device's", framed(bytes_of("02 04 02 00 D7")), LineFault::wrong_device},
      {"of another function", framed(bytes_of("01 03 02 00 D7")), LineFault::wrong_function},
      {"too long", framed(bytes_of("01 04 04 00 D7 00 00")), LineFault::wrong_length},
      {"rubbish", std::string("\0\0\x96\x7F", 4), LineFault::foreign_bytes},
  };
  for (const auto& row : table) {
    INFO(row.what);
    Asking asking = tenths();
    (void)asking.ask();
    asking.hear(row.heard);
    CHECK_FALSE(asking.decoder->is_answered());
    asking.give_up();
    CHECK(asking.readings.empty());
    CHECK(asking.line_faults(row.fault) == 1);
    CHECK(asking.decoder->lines().faults.total() == 1);
    // The next good frame is taken.
    CHECK(asking.ask(10'000'000).empty());  // the round ends
    CHECK_FALSE(asking.ask().empty());
    asking.hear(good_answer);
    CHECK(asking.values() == std::vector<double>{21.5});
  }
}

TEST_CASE("a doubled byte anywhere in an answer is no reading") {
  for (std::size_t i = 0; i < good_answer.size(); ++i) {
    Asking asking = tenths();
    (void)asking.ask();
    std::string heard = good_answer;
    heard.insert(i, 1, good_answer[i]);
    asking.hear(heard);
    // Doubled in front of the frame it is rubbish before a good answer, at its end a stray after.
    const bool harmless = i == 0 || i + 1 == good_answer.size();
    INFO(i);
    CHECK(asking.values().size() == (harmless ? 1u : 0u));
  }
}

TEST_CASE("an exception is each probe's fault, said once in words") {
  Asking asking = tenths();
  for (int i = 0; i < 3; ++i) {
    CHECK(asking.ask() == register_question({}, 1));
    asking.hear(framed(bytes_of("01 84 02")));
    CHECK(asking.decoder->is_answered());
    CHECK(asking.ask().empty());
  }
  CHECK(asking.faults(0, LineFault::refused) == 3);
  REQUIRE(asking.remarks.size() == 1);
  CHECK_THAT(asking.remarks[0], ContainsSubstring("illegal data address (exception 2)"));
  (void)asking.ask();
  asking.hear(good_answer);
  CHECK(asking.values() == std::vector<double>{21.5});
}

TEST_CASE("an answer to an earlier question is never taken for one to a later question") {
  Asking asking = tenths();
  (void)asking.ask(1'000'000);
  asking.give_up();
  CHECK(asking.ask().empty());  // left alone: the answer may still come
  asking.decoder->feed_late(good_answer, asking.now_us);
  CHECK(asking.decoder->lines().late == 1);
  CHECK(asking.readings.empty());
  CHECK_FALSE(asking.ask(10'000'000).empty());
  asking.hear(framed(bytes_of("01 04 02 00 DC")));
  CHECK(asking.values() == std::vector<double>{22.0});
}

TEST_CASE("a device that is asleep does not keep its neighbours waiting") {
  Asking asking(modbus_port(), {in_register({1, 4, 0}, 0.1), in_register({2, 4, 0}, 0.1)});
  int asked_first = 0, asked_second = 0;
  TimeUs now_us = 0;
  for (int round = 0; round < 100; ++round) {  // 50 s
    now_us += 500'000;
    for (std::string next = asking.ask(now_us); !next.empty(); next = asking.ask()) {
      if (next[0] == 1) {
        ++asked_first;
        asking.give_up();
      } else {
        ++asked_second;
        asking.hear(framed(bytes_of("02 04 02 00 D7")));
      }
    }
  }
  CHECK(asked_second == 100);
  CHECK(asked_first <= 12);  // after 2, 4, 5, 5, ... s
  CHECK(asked_first >= 9);
}

TEST_CASE("a float that is no number is no reading") {
  RegisterPlace place;
  place.format = RegisterFormat::float32;
  Asking asking(modbus_port(), {in_register(place)});
  (void)asking.ask();
  asking.hear(framed(bytes_of("01 04 04 7F C0 00 00")));
  (void)asking.ask();
  (void)asking.ask();
  asking.hear(framed(bytes_of("01 04 04 7F 80 00 00")));
  CHECK(asking.readings.empty());
  CHECK(asking.faults(0, LineFault::not_finite) == 2);
}

TEST_CASE("the number for no probe is none, and it is compared as sent") {
  ProbeSettings probe = in_register({}, 0.1);
  probe.channel.no_probe = {-32768.0};
  Asking asking(modbus_port(), {probe});
  (void)asking.ask();
  asking.hear(framed(bytes_of("01 04 02 80 00")));
  CHECK(asking.readings.empty());
  CHECK(asking.faults(0, LineFault::no_probe) == 1);
}

TEST_CASE("an endless stream is bounded, and the next good answer is taken") {
  Asking asking = tenths();
  (void)asking.ask();
  std::string flood;
  for (int i = 0; i < 100'000; ++i) flood += static_cast<char>(i * 7);
  asking.hear(flood);
  asking.give_up();
  CHECK(asking.readings.empty());
  CHECK(asking.line_faults(LineFault::foreign_bytes) > 0);
  CHECK(asking.line_faults(LineFault::foreign_bytes) < 1000);
  CHECK(asking.ask(10'000'000).empty());
  CHECK_FALSE(asking.ask().empty());
  asking.hear(good_answer);
  CHECK(asking.values() == std::vector<double>{21.5});
}

TEST_CASE("a hang-up in the middle of a frame is one fault, and the rest is not looked for") {
  Asking asking = tenths();
  (void)asking.ask();
  asking.hear(good_answer.substr(0, 4));
  asking.decoder->reset();
  CHECK(asking.line_faults(LineFault::incomplete) == 1);
  (void)asking.ask();
  asking.hear(good_answer);
  CHECK(asking.values() == std::vector<double>{21.5});
}
