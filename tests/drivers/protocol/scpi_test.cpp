// SCPI: what is asked, and what counts as a reading.
#include <string>
#include <vector>

#include "tests/catch.hpp"
#include "tests/drivers/asking.hpp"

using namespace nestcup;
using namespace nestcup::drivers;
using namespace nestcup::drivers::testing;

namespace {

PortSettings meter() {
  PortSettings port;
  port.name = "meter";
  port.protocol = "scpi";
  return port;
}

ProbeSettings asked_by(const std::string& query, std::optional<int> column = std::nullopt) {
  ProbeSettings probe;
  probe.name = "p" + std::to_string(column.value_or(0));
  probe.channel.name = probe.name;
  probe.channel.query = query;
  probe.channel.column = column;
  return probe;
}

/// A meter that has told who it is.
Asking identified(std::vector<ProbeSettings> probes) {
  Asking asking(meter(), std::move(probes));
  REQUIRE(asking.ask() == "*IDN?\n");
  asking.hear("Hollow Oak,Two Cups,7,0.1\r\n");
  return asking;
}

Asking one_probe() {
  return identified({asked_by("MEASure:TEMPerature?")});
}

}  // namespace

TEST_CASE("setup lines come first, then the identity, then the queries in rounds") {
  PortSettings port = meter();
  port.setup = {"*CLS", "UNIT:TEMPerature C"};
  Asking asking(port, {asked_by("READ?", 1), asked_by("READ?", 2), asked_by("MEAS:TEMP? (@103)")});
  CHECK(asking.ask() == "*CLS\n");
  CHECK(asking.decoder->is_answered());
  CHECK(asking.ask() == "UNIT:TEMPerature C\n");
  CHECK(asking.ask() == "*IDN?\n");
  CHECK_FALSE(asking.decoder->is_answered());
  asking.hear("Hollow Oak,Two Cups,7,0.1\n");
  REQUIRE(asking.remarks.size() == 1);
  CHECK(asking.remarks[0] == "identity: Hollow Oak,Two Cups,7,0.1");
  for (int round = 0; round < 2; ++round) {
    CHECK(asking.ask() == "READ?\n");
    asking.hear("+2.15000000E+01,+2.20000000E+01\n");
    CHECK(asking.ask() == "MEAS:TEMP? (@103)\n");
    asking.hear("23\n");
    CHECK(asking.ask().empty());
  }
  CHECK(asking.values() == std::vector<double>{21.5, 22.0, 23.0, 21.5, 22.0, 23.0});
}

TEST_CASE("numbers in every form of IEEE 488.2 are read") {
  // IEEE 488.2, 8.7.2 to 8.7.4: NR1, NR2, NR3.
  for (const std::string text : {"21", "+21.0", "2.1E+01", "+2.10000E1", " 21.000 "}) {
    INFO(text);
    Asking asking = one_probe();
    (void)asking.ask();
    asking.hear(text + "\r\n");
    CHECK(asking.values() == std::vector<double>{21.0});
  }
}

TEST_CASE("SCPI's numbers for no number are faults of their own") {
  // SCPI-99 Volume 1, 7.2.1.4 and 7.2.1.5: infinity 9.9E37, not a number 9.91E37.
  Asking asking = one_probe();
  for (const std::string text : {"9.91E37", "+9.910000E+37", "9.9E37", "-9.90000000E+37"}) {
    (void)asking.ask();
    asking.hear(text + "\n");
    (void)asking.ask();
  }
  CHECK(asking.readings.empty());
  CHECK(asking.faults(0, LineFault::no_reading) == 2);
  CHECK(asking.faults(0, LineFault::overload) == 2);
}

TEST_CASE("after an answer that is no number the error queue is read and told") {
  Asking asking = one_probe();
  (void)asking.ask();
  asking.hear("what?\n");
  CHECK(asking.faults(0, LineFault::bad_number) == 1);
  CHECK(asking.ask().empty());  // what comes now may belong to that question
  CHECK(asking.ask(10'000'000) == "SYSTem:ERRor?\n");
  asking.hear("-113,\"Undefined header\"\n");
  CHECK(asking.line_faults(LineFault::refused) == 1);
  CHECK(asking.ask() == "SYSTem:ERRor?\n");
  asking.hear("0,\"No error\"\n");
  CHECK(asking.ask() == "MEASure:TEMPerature?\n");
  REQUIRE(asking.remarks.size() == 2);
  CHECK(asking.remarks[1] == "error: -113,\"Undefined header\"");
}

TEST_CASE("an answer to another question is no reading") {
  Asking asking = one_probe();
  (void)asking.ask();
  asking.hear("0,\"No error\"\n");
  (void)asking.ask();
  asking.hear("+0,\"No error\",21.5\n");
  CHECK(asking.readings.empty());
  CHECK(asking.faults(0, LineFault::bad_number) == 1);
}

TEST_CASE("an error queue that never ends keeps no readings waiting") {
  Asking asking = one_probe();
  int readings = 0;
  for (int i = 0; i < 300; ++i) {
    const std::string asked = asking.ask(3'000'000 * i);
    if (asked.empty()) continue;
    const bool reading = asked[0] == 'M';
    readings += reading ? 1 : 0;
    asking.hear(reading ? "?\n" : "-350,\"Queue overflow\"\n");
  }
  CHECK(readings >= 10);
  CHECK(asking.remarks.size() == 2);  // the identity, and the error once
}

TEST_CASE("a meter that does not answer is left alone, then asked for its errors") {
  Asking asking = one_probe();
  (void)asking.ask();
  asking.give_up();
  CHECK(asking.ask().empty());
  asking.decoder->feed_late(std::string_view("21.5\n"), 50);
  CHECK(asking.readings.empty());
  CHECK(asking.decoder->lines().late == 1);
  CHECK(asking.ask(10'000'000) == "SYSTem:ERRor?\n");
  asking.give_up();  // it does not know that either
  CHECK(asking.ask(20'000'000) == "MEASure:TEMPerature?\n");
}

TEST_CASE("a query that is never answered does not cost the others their time") {
  Asking asking = identified({asked_by("READ?"), asked_by("MEAS:PRES?")});
  int good = 0, bad = 0;
  TimeUs now_us = 0;
  for (int round = 0; round < 200; ++round) {  // 100 s
    now_us += 500'000;
    for (std::string asked = asking.ask(now_us); !asked.empty(); asked = asking.ask()) {
      if (asked[0] == 'R') ++good;
      if (asked[0] == 'M') ++bad;
      if (asked[0] == 'M') {
        asking.give_up();
      } else {
        asking.hear(asked[0] == 'S' ? "0,\"No error\"\n" : "21.5\n");
      }
    }
  }
  CHECK(bad >= 5);
  CHECK(bad <= 7);
  CHECK(good >= 160);
}

TEST_CASE("a meter without an identity is read all the same") {
  Asking asking(meter(), {asked_by("READ?")});
  CHECK(asking.ask() == "*IDN?\n");
  asking.give_up();
  CHECK(asking.ask(10'000'000) == "READ?\n");
  asking.hear("21.5\n");
  CHECK(asking.values() == std::vector<double>{21.5});
}

TEST_CASE("the rest of an earlier answer is not joined to the next") {
  Asking asking = one_probe();
  (void)asking.ask();
  asking.hear("2");
  asking.give_up();
  CHECK(asking.line_faults(LineFault::incomplete) == 1);
  (void)asking.ask(10'000'000);
  asking.hear("1.5\n");  // "21.5" in two halves, or another reading: nobody can tell
  CHECK(asking.values().size() <= 1);
  if (!asking.values().empty()) CHECK(asking.values()[0] == 1.5);
}

TEST_CASE("a line with a byte that is no text, and one without end, are faults") {
  Asking asking = one_probe();
  (void)asking.ask();
  asking.hear(std::string_view("2\0001.5\n", 6));
  CHECK(asking.line_faults(LineFault::bad_byte) == 1);
  CHECK(asking.ask().empty());
  (void)asking.ask(10'000'000);
  asking.hear(std::string(5000, '1') + "\n");
  CHECK(asking.line_faults(LineFault::line_too_long) == 1);
  CHECK(asking.readings.empty());
}

TEST_CASE("wrong settings are refused by name") {
  const auto refused = [](const ProbeSettings& probe) {
    auto made = PortDecoder::make(meter(), {probe}, {});
    return made ? std::string() : made.error().text;
  };
  CHECK_THAT(refused(asked_by("READ")), ContainsSubstring("query"));
  CHECK_THAT(refused(asked_by("READ?\n*RST")), ContainsSubstring("lines"));
  CHECK_THAT(refused(asked_by("READ?", 0)), ContainsSubstring("column"));
}
