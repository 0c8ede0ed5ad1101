// SenML in JSON: the examples of RFC 8428, and all that is no pack.
#include <string>
#include <vector>

#include "drivers/protocol/senml_pack.hpp"
#include "tests/catch.hpp"
#include "tests/drivers/decoding.hpp"

using namespace nestcup;
using namespace nestcup::drivers;
using namespace nestcup::drivers::testing;

namespace {

std::vector<SenmlRecord> records_of(const std::string& text) {
  const auto pack = read_senml_pack(text);
  const auto* records = std::get_if<std::vector<SenmlRecord>>(&pack);
  REQUIRE(records != nullptr);
  return *records;
}

std::string fault_of(const std::string& text) {
  const auto pack = read_senml_pack(text);
  const auto* fault = std::get_if<LineFault>(&pack);
  return std::string(fault == nullptr ? "none" : fault_name(*fault));
}

PortSettings senml_port() {
  PortSettings port;
  port.name = "board";
  port.protocol = "senml";
  return port;
}

ProbeSettings named(const std::string& name, RawUnit unit = RawUnit::degC) {
  ProbeSettings probe = by_key(name);
  probe.channel.unit = unit;
  return probe;
}

Decoding decoding_of(std::vector<ProbeSettings> probes) {
  Decoding decoding(senml_port(), std::move(probes));
  decoding.begin();
  return decoding;
}

}  // namespace

TEST_CASE("the examples of RFC 8428 resolve as it says") {
  // Section 5.1.1.
  const auto single = records_of(R"([{"n":"urn:dev:ow:10e2073a01080063","u":"Cel","v":23.1}])");
  REQUIRE(single.size() == 1);
  CHECK(single[0].name == "urn:dev:ow:10e2073a01080063");
  CHECK(single[0].unit == "Cel");
  CHECK(single[0].value == 23.1);
  // Section 5.1.2: a base name for two records.
  const auto two = records_of(R"([{"bn":"urn:dev:ow:10e2073a01080063:","n":"voltage","u":"V",
                                   "v":120.1},{"n":"current","u":"A","v":1.2}])");
  REQUIRE(two.size() == 2);
  CHECK(two[1].name == "urn:dev:ow:10e2073a01080063:current");
  // The same: base time and unit, and times relative to it.
  const auto current = records_of(R"([{"bn":"urn:dev:ow:10e2073a0108006:","bt":1.276020076001e+09,
    "bu":"A","bver":5,"n":"voltage","u":"V","v":120.1},{"n":"current","t":-5,"v":1.2},
    {"n":"current","t":-4,"v":1.3},{"n":"current","v":1.7}])");
  REQUIRE(current.size() == 4);
  CHECK(current[1].unit == "A");
  CHECK(current[1].time_s == Approx(1276020071.001).margin(1e-3));
  CHECK(current[3].value == 1.7);
  CHECK_FALSE(current[3].is_relative());
  // Section 5.1.3: a base record for two units, and relative time.
  const auto base = records_of(R"([{"bn":"urn:dev:ow:10e2073a01080063","bt":1.320067464e+09,
    "bu":"%RH","v":20},{"u":"lon","v":24.30621},{"u":"lat","v":60.07965},{"t":60,"v":20.3}])");
  REQUIRE(base.size() == 4);
  CHECK(base[3].unit == "%RH");
  CHECK(base[3].time_s == 1320067524.0);
  // Section 5.1.5: values that are no numbers.
  const auto kinds = records_of(R"([{"bn":"urn:dev:ow:10e2073a01080063:","n":"temp","u":"Cel",
    "v":23.1},{"n":"label","vs":"Machine Room"},{"n":"open","vb":false},
    {"n":"nfv-reader","vd":"aGkgCg"}])");
  REQUIRE(kinds.size() == 4);
  CHECK(kinds[0].value == 23.1);
  CHECK_FALSE(kinds[1].value.has_value());
}

TEST_CASE("base values are added and last until the next one") {
  const auto records =
      records_of(R"([{"bn":"a","bv":20},{"v":1.5},{"n":"b","bv":30,"v":1},{"n":"c"}])");
  REQUIRE(records.size() == 3);
  CHECK(records[0].value == 21.5);
  CHECK(records[1].name == "ab");
  CHECK(records[1].value == 31.0);
  CHECK_FALSE(records[2].value.has_value());
}

TEST_CASE("what is no pack is refused") {
  for (const std::string text :
       {"", "21.5", "{}", "[]", "[1]", R"({"n":"a","v":1})", R"([{"n":"a","v":1})",
        R"([{"n":"a","v":"1"}])", R"([{"n":1,"v":1}])", R"([{"v":1}])", R"([{"n":"-a","v":1}])",
        R"([{"n":"a b","v":1}])", R"([{"n":"a","v":1,"bver":11}])", R"([{"n":"a","v":1,"x_":1}])",
        R"([{"n":"a","v":1}]x)", R"([{"n":"a","v":01}])", R"([{"n":"a","t":"now","v":1}])"}) {
    INFO(text);
    CHECK(fault_of(text) == "bad_pack");
  }
  CHECK(fault_of(R"([{"n":"a","bv":1e308,"v":1e308}])") == "not_finite");
  CHECK(fault_of(R"([{"n":"a","v":1e400}])") != "none");
  // A field that need not be understood is passed over (RFC 8428, section 4.4).
  CHECK(fault_of(R"([{"n":"a","v":1,"x":1}])") == "none");
}

TEST_CASE("a deeply nested line neither takes long nor breaks anything") {
  CHECK(fault_of(std::string(8000, '[')) == "bad_pack");
  CHECK(fault_of(R"([{"n":)" + std::string(4000, '[') + std::string(4000, ']') + "}]") ==
        "bad_pack");
}

TEST_CASE("a channel is found by its whole name or by the name within the pack") {
  const std::string pack =
      R"([{"bn":"urn:dev:mac:0024befffe804ff1:","bu":"Cel","n":"cup","v":21.5},)"
      R"({"n":"room","v":20}])";
  for (const std::string name : {"cup", "urn:dev:mac:0024befffe804ff1:cup"}) {
    Decoding decoding = decoding_of({named(name)});
    decoding.feed(pack + "\n");
    REQUIRE(decoding.readings.size() == 1);
    CHECK(decoding.readings[0].temperature_degC == 21.5);
  }
  Decoding other = decoding_of({named("up")});
  other.feed(pack + "\n");
  CHECK(other.readings.empty());
  CHECK(other.lines().faults.of(LineFault::missing_key) == 1);
}

TEST_CASE("units are the channel's or a fault") {
  Decoding decoding = decoding_of({named("a"), named("b", RawUnit::kelvin), named("c")});
  decoding.feed(R"([{"n":"a","u":"K","v":294.65},{"n":"b","u":"K","v":294.65},{"n":"c","v":3}])"
                "\n");
  REQUIRE(decoding.readings.size() == 2);
  CHECK(decoding.readings[0].temperature_degC == Approx(21.5));
  CHECK(decoding.readings[1].temperature_degC == 3.0);
  CHECK(decoding.faults(0).of(LineFault::wrong_unit) == 1);
}

TEST_CASE("several records of one name are stamped by their times") {
  Decoding decoding = decoding_of({named("a")});
  decoding.feed(R"([{"bn":"a","t":-2,"v":20},{"t":-1,"v":21},{"v":22}])"
                "\n",
                10'000'000);
  decoding.feed(R"([{"bn":"a","bt":1.7e9,"t":3,"v":23},{"t":4,"v":24}])"
                "\n",
                20'000'000);
  std::vector<TimeUs> times;
  for (const Decoded& reading : decoding.readings) times.push_back(reading.time_us);
  CHECK(times == std::vector<TimeUs>{8'000'000, 9'000'000, 10'000'000, 19'000'000, 20'000'000});
}

TEST_CASE("a record from long ago or from the future is no reading") {
  Decoding decoding = decoding_of({named("a")});
  decoding.feed(R"([{"n":"a","t":-100000,"v":20}])"
                "\n");
  decoding.feed(R"([{"n":"a","t":100,"v":20}])"
                "\n");
  CHECK(decoding.readings.empty());
  CHECK(decoding.faults(0).of(LineFault::bad_pack) == 2);
}

TEST_CASE("cut, doubled and spoilt packs give nothing that was not sent") {
  const std::string pack = R"([{"n":"a","u":"Cel","v":21.5}])";
  for (std::size_t i = 0; i < pack.size(); ++i) {
    std::string cut = pack, doubled = pack, spoilt = pack;
    cut.erase(i);
    doubled.insert(i, 1, pack[i]);
    spoilt[i] = '\0';
    for (const std::string& line : {cut, spoilt}) {
      Decoding decoding = decoding_of({named("a")});
      decoding.feed(line + "\n" + pack + "\n");
      INFO(line);
      REQUIRE(decoding.readings.size() == 1);
      CHECK(decoding.readings[0].temperature_degC == 21.5);
    }
    // A doubled digit is a number like any other: a text without checksum cannot tell.
    const bool is_digit = i >= pack.find("21.5") && i < pack.find("21.5") + 4 && pack[i] != '.';
    if (is_digit) continue;
    Decoding decoding = decoding_of({named("a")});
    decoding.feed(doubled + "\n");
    for (const Decoded& reading : decoding.readings) CHECK(reading.temperature_degC == 21.5);
  }
}

TEST_CASE("a banner passes, an endless line is one fault") {
  Decoding decoding = decoding_of({named("a")});
  decoding.feed("booting 1.0\r\n# ready\r\n\r\n");
  CHECK(decoding.lines().headers == 2);
  decoding.feed("[" + std::string(100'000, ' ') + "\n" + R"([{"n":"a","v":21.5}])" + "\n");
  CHECK(decoding.lines().faults.of(LineFault::line_too_long) == 1);
  CHECK(decoding.readings.size() == 1);
}
