// What is proposed for what a device says.
#include "tools/listen/proposal.hpp"

#include "core/sheet/bench_file.hpp"
#include "tests/catch.hpp"
#include "tools/listen/listen_command.hpp"

using namespace nestcup;

namespace {

/// The bench file that somebody makes of the entries.
BenchFileCheck pasted(const Heard& heard) {
  return parse_bench_file("[bench]\nname = \"b\"\n" + entries_text(heard, "/dev/ttyACM0", 9600),
                          "/lab/b.toml");
}

std::string repeated(const std::string& line, int times) {
  std::string text = "rest\r\n";
  for (int i = 0; i < times; ++i) text += line + "\r\n";
  return text;
}

}  // namespace

TEST_CASE("columns, keys and separators are found, and the entries make a bench file") {
  const struct {
    std::string line;
    std::string place;
    char separator;
  } table[] = {
      {"21.50,22.75", "column = 1", ','},        {"1000;21.5;22.1", "column = 2", ';'},
      {"21.5\t22.75", "column = 1", '\t'},       {"21.5 22.75 20", "column = 1", ' '},
      {"T1=21.5 T2=22.75", "key = \"T1\"", ' '}, {"T1:21.5,T2:22.75", "key = \"T1\"", ','},
  };
  for (const auto& row : table) {
    INFO(row.line);
    const Heard heard = hear("booting v1\n" + repeated(row.line, 8));
    CHECK(heard.protocol == "text");
    CHECK(heard.data_lines == 8);
    const BenchFileCheck check = pasted(heard);
    for (const Error& problem : check.problems) UNSCOPED_INFO(problem.text);
    REQUIRE(check.bench);
    CHECK(check.bench->ports[0].separator == row.separator);
    CHECK(check.bench->ports[0].mode.baud == 9600);
    CHECK(entries_text(heard, "/d", 1).find("\n" + row.place) != std::string::npos);
  }
}

TEST_CASE("a decimal comma is found") {
  const Heard heard = hear(repeated("21,50;22,75", 5));
  CHECK(heard.protocol == "text");
  const BenchFileCheck check = pasted(heard);
  REQUIRE(check.bench);
  CHECK(check.bench->ports[0].decimal == Decimal::comma);
  CHECK(check.bench->probes.size() == 2);
}

TEST_CASE("SenML is found with names and units") {
  const Heard heard = hear(repeated(
      R"([{"bn":"urn:dev:org:1-","n":"cup","u":"Cel","v":21.5},{"n":"light","u":"lx","v":300}])",
      4));
  CHECK(heard.protocol == "senml");
  CHECK(heard.whole_lines == 4);
  const BenchFileCheck check = pasted(heard);
  REQUIRE(check.bench);
  REQUIRE(check.bench->probes.size() == 1);
  CHECK(check.bench->probes[0].channel.key == "urn:dev:org:1-cup");
}

TEST_CASE("a value whose name says its role gets that role") {
  const Heard heard = hear(repeated("added=39.9,hall=20.1,cup=20.9", 4));
  const BenchFileCheck check = pasted(heard);
  REQUIRE(check.bench);
  REQUIRE(check.bench->probes.size() == 3);
  for (const ProbeSettings& probe : check.bench->probes) {
    CHECK(probe.channel.key == (probe.role == ProbeRole::room ? "hall" : probe.name));
  }
}

TEST_CASE("where nothing fits, what to try is said") {
  CHECK_THAT(hear("").advice, ContainsSubstring("--ask"));
  CHECK_THAT(hear(std::string("\xE5\x80\x91\xFF\n\x88\x93\xA7", 8)).advice,
             ContainsSubstring("--baud"));
  CHECK_THAT(hear("21.5 21.6 21.7").advice, ContainsSubstring("no line has ended"));
  CHECK_THAT(hear("a\nhello\nworld\nagain\n").advice, ContainsSubstring("same place"));
  for (const std::string text : {"", "\xE5\x80", "hello"}) {
    CHECK(entries_text(hear(text), "/d", 9600).empty());
  }
}

TEST_CASE("other bytes are shown as numbers, escapes are read") {
  CHECK(readable(std::string_view("a\tb\0\xFF", 5)) == "a\\tb\\x00\\xFF");
  CHECK(*with_escapes("*IDN?\\n") == "*IDN?\n");
  CHECK(*with_escapes("\\x01\\\\\\r\\t") == "\x01\\\r\t");
  for (const std::string text : {"\\", "\\q", "\\x1", "\\xZZ"}) {
    INFO(text);
    CHECK_FALSE(with_escapes(text));
  }
}
