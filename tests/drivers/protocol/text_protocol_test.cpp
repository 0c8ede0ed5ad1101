#include "drivers/protocol/text_protocol.hpp"

#include <array>

#include "drivers/protocol/registry.hpp"
#include "tests/catch.hpp"
#include "tests/drivers/decoding.hpp"

using namespace nestcup;
using namespace nestcup::drivers;
using namespace nestcup::drivers::testing;

namespace {

// Temperatures of probe 0 and 1 that one line gives; nothing for none.
struct Pair {
  std::optional<double> first;
  std::optional<double> second;
};

Pair read_line(const PortSettings& port, const std::vector<ProbeSettings>& probes,
               const std::string& line) {
  Decoding decoding(port, probes);
  decoding.begin();
  decoding.feed(line + "\n");
  Pair pair;
  for (const auto& reading : decoding.readings) {
    (reading.probe == 0 ? pair.first : pair.second) = reading.temperature_degC;
  }
  return pair;
}

bool mentions(const std::string& text, std::string_view word) {
  return text.find(word) != std::string::npos;
}

PortSettings separated_by(char separator, Decimal decimal = Decimal::point) {
  PortSettings port;
  port.separator = separator;
  port.decimal = decimal;
  return port;
}

}  // namespace

TEST_CASE("columns are found with each separator and decimal mark") {
  struct Row {
    char separator;
    Decimal decimal;
    const char* line;
  };
  const std::array<Row, 10> rows{{
      {',', Decimal::point, "1,21.5,x,20.25"},
      {',', Decimal::point, "1 , 21.5 ,, 20.25 "},
      {';', Decimal::point, "1;21.5;;20.25"},
      {';', Decimal::comma, "1;21,5;;20,25"},
      {'\t', Decimal::point, "\t21.5\t\t20.25"},
      {'\t', Decimal::comma, "1\t21,5\t-\t20,25"},
      {' ', Decimal::point, "1 21.5 x 20.25"},
      {' ', Decimal::point, "  1   21.5 \t x  20.25   "},
      {' ', Decimal::comma, "1 21,5 x 20,25"},
      {',', Decimal::point, "word,21.5,x,20.25"},
  }};
  for (const auto& row : rows) {
    INFO(row.line);
    const auto pair =
        read_line(separated_by(row.separator, row.decimal), {by_column(2), by_column(4)}, row.line);
    CHECK(pair.first == 21.5);
    CHECK(pair.second == 20.25);
  }
}

TEST_CASE("keys are found wherever they stand") {
  struct Row {
    char separator;
    const char* line;
  };
  const std::array<Row, 7> rows{{
      {',', "T1=21.5,T2=20.25"},
      {',', "T2:20.25, T1 : 21.5"},
      {';', "n=4;T1=21.5;T2=20.25"},
      {' ', "T1=21.5 T2=20.25"},
      {' ', "T1: 21.5 T2: 20.25"},
      {' ', "xT1=1 T1=21.5 T2=20.25 T22=3"},
      {'\t', "T1=21.5\tT2=20.25"},
  }};
  for (const auto& row : rows) {
    INFO(row.line);
    const auto pair =
        read_line(separated_by(row.separator), {by_key("T1"), by_key("T2")}, row.line);
    CHECK(pair.first == 21.5);
    CHECK(pair.second == 20.25);
  }
}

TEST_CASE("a bad field costs its own probe only, and is counted by kind") {
  struct Row {
    const char* line;
    LineFault fault;  // of probe 0; probe 1 reads 20.25
  };
  const std::array<Row, 12> rows{{
      {"21.5x,20.25", LineFault::bad_number},
      {",20.25", LineFault::bad_number},
      {"21.5.3,20.25", LineFault::bad_number},
      {"2 1,20.25", LineFault::bad_number},
      {"nan,20.25", LineFault::not_finite},
      {"-inf,20.25", LineFault::not_finite},
      {"161,20.25", LineFault::out_of_range},
      {"-127,20.25", LineFault::out_of_range},
      {"9.9e37,20.25", LineFault::out_of_range},
      {"160.00001,20.25", LineFault::out_of_range},
      {"-60.00001,20.25", LineFault::out_of_range},
      {"OL,20.25", LineFault::bad_number},
  }};
  for (const auto& row : rows) {
    INFO(row.line);
    Decoding decoding({}, {by_column(1), by_column(2)});
    decoding.begin();
    decoding.feed(std::string(row.line) + "\n");
    REQUIRE(decoding.readings.size() == 1);
    CHECK(decoding.readings[0].probe == 1);
    CHECK(decoding.readings[0].temperature_degC == 20.25);
    CHECK(decoding.faults(0).of(row.fault) == 1);
    CHECK(decoding.faults(0).total() == 1);
    CHECK(decoding.faults(1).total() == 0);
    CHECK(decoding.lines().faults.total() == 0);
  }
}

TEST_CASE("the range's ends belong to it") {
  CHECK(read_line({}, {by_column(1), by_column(2)}, "160,-60").first == 160.0);
  CHECK(read_line({}, {by_column(1), by_column(2)}, "160,-60").second == -60.0);
}

TEST_CASE("a missing column or key is its probe's fault") {
  Decoding columns({}, {by_column(1), by_column(3)});
  columns.begin();
  columns.feed("21.5,1\n");
  CHECK(columns.readings.size() == 1);
  CHECK(columns.faults(1).of(LineFault::missing_column) == 1);

  Decoding keys({}, {by_key("T1"), by_key("T2")});
  keys.begin();
  keys.feed("T1=1\nT2=2\n");  // one key a line is as good
  CHECK(keys.readings.size() == 2);
  CHECK(keys.faults(0).total() + keys.faults(1).total() == 0);
  keys.feed("T1=1,T2=2\nT1=3\n");  // they come together, so one was lost
  CHECK(keys.readings.size() == 5);
  CHECK(keys.faults(1).of(LineFault::missing_key) == 1);
  keys.feed("=3\n");
  CHECK(keys.lines().faults.of(LineFault::missing_key) == 1);
  keys.feed("T1=5,T1=6,T2=7\n");  // two lines that ran together: which one holds?
  CHECK(keys.faults(0).of(LineFault::repeated_key) == 1);
  CHECK(keys.readings.size() == 6);
  CHECK(keys.readings.back().probe == 1);
}

TEST_CASE("a line with a byte that is no text, or too long, gives nothing at all") {
  Decoding decoding({}, {by_column(1)});
  decoding.begin();
  for (const char byte : {'\0', '\x1b', '\x7f', '\xff', '\xc2'}) {
    decoding.feed(std::string("21.5,") + byte + "\n");
  }
  CHECK(decoding.lines().faults.of(LineFault::bad_byte) == 5);
  decoding.feed("21.5," + std::string(longest_text_line, '1') + "\n");
  CHECK(decoding.lines().faults.of(LineFault::line_too_long) == 1);
  CHECK(decoding.readings.empty());
  decoding.feed("21.5\n");
  CHECK(decoding.readings.size() == 1);
}

TEST_CASE("comments and empty lines are neither readings nor faults") {
  PortSettings port;
  port.comment = "//";
  Decoding decoding(port, {by_column(1)});
  decoding.begin();
  decoding.feed("// 21.5\n  //21.5 \xc2\xb0\x43\n\n  \t\n21.5\n");
  CHECK(decoding.lines().comments == 2);
  CHECK(decoding.lines().empty == 2);
  CHECK(decoding.lines().faults.total() == 0);
  CHECK(decoding.readings.size() == 1);
}

TEST_CASE("banner and column names pass before the data, steady rubbish shows") {
  Decoding decoding({}, {by_column(2)});
  decoding.begin();
  decoding.feed("Board 1.2 ready\ntime,cup\n0.5,21.5\n");
  CHECK(decoding.lines().headers == 2);
  CHECK(decoding.lines().faults.total() == 0);
  decoding.feed("time,cup\n1.0,21.6\n");  // the names again
  CHECK(decoding.lines().headers == 3);
  decoding.feed("sensor lost\n");
  CHECK(decoding.lines().faults.of(LineFault::unexpected_text) == 1);
  CHECK(decoding.readings.size() == 2);

  Decoding rubbish({}, {by_column(1)});
  rubbish.begin();
  for (int i = 0; i < TextProtocol::most_headers + 5; ++i) rubbish.feed("error\n");
  CHECK(rubbish.lines().headers == TextProtocol::most_headers);
  CHECK(rubbish.lines().faults.of(LineFault::unexpected_text) == 5);
}

TEST_CASE("a line of words with 'nan' where a number is wanted is no header") {
  Decoding decoding({}, {by_column(1), by_column(2)});
  decoding.begin();
  decoding.feed("nan,nan\n");
  CHECK(decoding.faults(0).of(LineFault::not_finite) == 1);
  CHECK(decoding.faults(1).of(LineFault::not_finite) == 1);
  CHECK(decoding.lines().headers == 0);
}

TEST_CASE("nothing is taken before the first whole line, at the start and after a reset") {
  Decoding decoding({}, {by_column(1)});
  decoding.feed("5\r\n21.5\r\n");
  REQUIRE(decoding.readings.size() == 1);
  CHECK(decoding.readings[0].temperature_degC == 21.5);
  decoding.feed("22.");
  decoding.decoder().reset();
  CHECK(decoding.lines().faults.of(LineFault::incomplete) == 1);
  decoding.feed("5\r\n22.5\r\n");
  REQUIRE(decoding.readings.size() == 2);
  CHECK(decoding.readings[1].temperature_degC == 22.5);
  CHECK(decoding.lines().first == 2);
}

TEST_CASE("units become degC and the raw quantity stays as sent") {
  Decoding decoding({}, {by_column(1, RawUnit::degF), by_column(2, RawUnit::kelvin)});
  decoding.begin();
  decoding.feed("212,273.15\n-40,300\n");
  REQUIRE(decoding.readings.size() == 4);
  CHECK(decoding.readings[0] == Decoded{0, 1000, 100.0, 212.0});
  CHECK(decoding.readings[1] == Decoded{1, 1000, 0.0, 273.15});
  CHECK(decoding.readings[2].temperature_degC == -40.0);
  CHECK_THAT(decoding.readings[3].temperature_degC, WithinAbs(26.85, 3e-14));
}

TEST_CASE("lines that share one read keep their order in time") {
  Decoding decoding({}, {by_column(1)});
  decoding.begin();
  decoding.feed("1\n2\n3\n", 5000);
  decoding.feed("4\n", 5001);
  decoding.feed("5\n", 9000);
  std::vector<TimeUs> times;
  for (const auto& reading : decoding.readings) times.push_back(reading.time_us);
  CHECK(times == std::vector<TimeUs>{5000, 5001, 5002, 5003, 9000});
}

TEST_CASE("late answers are counted and give neither reading nor fault") {
  Decoding decoding({}, {by_column(1)});
  decoding.begin();
  decoding.decoder().feed_late(std::string_view("21.5\nx1\n-\n"), 1000);
  CHECK(decoding.readings.empty());
  CHECK(decoding.faults(0).total() == 0);
  CHECK(decoding.lines().late == 3);
}

TEST_CASE("settings that contradict each other are refused by name") {
  const auto refused = [](const PortSettings& port, const ProbeSettings& probe) {
    const auto made = make_protocol(port, {probe.channel});
    return made ? std::string() : made.error().text;
  };
  PortSettings port;
  port.name = "board";
  CHECK(refused(port, by_column(1)).empty());
  CHECK(mentions(refused(port, by_column(0)), "column"));
  CHECK(mentions(refused(port, by_column(0)), "board"));
  ProbeSettings both = by_column(1);
  both.channel.key = "T1";
  CHECK(mentions(refused(port, both), "either"));
  CHECK(mentions(refused(port, ProbeSettings{}), "either"));
  CHECK(mentions(refused(port, by_key("a=b")), "key"));
  CHECK(mentions(refused(port, by_key("a,b")), "separator"));
  port.decimal = Decimal::comma;
  CHECK(mentions(refused(port, by_column(1)), "decimal comma"));
  port.separator = '|';
  CHECK(mentions(refused(port, by_column(1)), "separator"));
  port.protocol = "telepathy";
  CHECK(mentions(refused(port, by_column(1)), "telepathy"));
  CHECK(mentions(refused(port, by_column(1)), "\"text\""));
}

TEST_CASE("a protocol asks with what the settings say") {
  PortSettings port;
  port.request = "T?\r\n";
  auto made = make_protocol(port, {by_column(1).channel});
  REQUIRE(made);
  CHECK((*made)->is_polled());
  CHECK((*made)->next_request(0) == "T?\r\n");
  CHECK_FALSE((*made)->is_answered());
  CHECK((*made)->next_request(0).empty());  // one question a round
  CHECK((*made)->next_request(0) == "T?\r\n");
  REQUIRE_FALSE(protocol_names().empty());
  CHECK(protocol_names()[0].name == "text");
}
