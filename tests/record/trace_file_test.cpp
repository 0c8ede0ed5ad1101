// The trace reader: what it takes, what it refuses and how it says so; and the way back.
#include "core/record/trace_file.hpp"

#include <stdlib.h>

#include <cstdio>
#include <fstream>

#include "sim/random.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

std::string refusal(const std::string& text) {
  const auto trace = parse_trace(text, "bad.csv");
  REQUIRE_FALSE(trace);
  CHECK(trace.error().kind == Fault::bad_data);
  return trace.error().text;
}

Trace accepted(const std::string& text) {
  const auto trace = parse_trace(text, "good.csv");
  REQUIRE(trace);
  return *trace;
}

}  // namespace

TEST_CASE("a trace is read with its comments, gaps and columns") {
  const Trace trace = accepted(
      "# made by hand\n#second\n\ntime_s,cup_degC,added_degC\n0.0,22.31,24.05\n0.5,22.30,\n"
      "0.75,,24.04\n");
  CHECK(trace.name == "good.csv");
  CHECK(trace.comments == std::vector<std::string>{"made by hand", "second"});
  CHECK(trace.roles == std::vector{ProbeRole::cup, ProbeRole::added});
  REQUIRE(trace.readings.size() == 4);
  CHECK(trace.readings[1].probe == 1);
  CHECK(trace.readings[1].temperature_degC == 24.05);
  CHECK(trace.readings[2].time_us == 500'000);
  CHECK(trace.readings[3].probe == 1);
  CHECK(trace.readings[3].time_us == 750'000);
}

TEST_CASE("the same trace comes out of every way of writing it") {
  const std::string plain = "time_s,cup_degC\n0.0,22.31\n1.0,-3.5\n";
  const std::string other = GENERATE(
      "time_s,cup_degC\r\n0.0,22.31\r\n1.0,-3.5\r\n", "time_s,cup_degC\n0.0,22.31\n1,-3.5",
      "\xEF\xBB\xBFtime_s,cup_degC\n0.0,22.31\n1.0,-3.5\n",
      "\"time_s\",\"cup_degC\"\n\"0.0\",\"22.31\"\n\"1.0\",-3.5\n",
      "time_s , cup_degC\n 0.0 ,\t22.31\n1e0,-35e-1\n", "time_s,cup_degC\n\n0,22.31\n\n1,-3.5\n",
      "# a comment\r\n\r\ntime_s,cup_degC\r\n0,+22.31\r\n1.0,-3.50\r\n");
  const Trace a = accepted(plain), b = accepted(other);
  CHECK(trace_text(a.readings, a.roles, a.raw_units, 0) ==
        trace_text(b.readings, b.roles, b.raw_units, 0));
}

TEST_CASE("bad input is refused with file, line and what was expected") {
  struct Bad {
    const char *text, *where, *what;
  };
  const Bad bad = GENERATE(
      Bad{"", "bad.csv:1:", "the file is empty"},
      Bad{"# only a comment\n", "bad.csv:1:", "time_s,cup_degC"},
      Bad{"0.0,22.31\n", "bad.csv:1:", "the header is missing"},
      Bad{"time,cup_degC\n0,1\n", "bad.csv:1:", "expected time_s"},
      Bad{"time_s;cup_degC\n0;1\n", "bad.csv:1:", "the header is missing"},
      Bad{"# one\n\ntime_s,cup\n0,1\n", "bad.csv:3:", "column 2"},
      Bad{"time_s,lid_degC\n0,1\n", "bad.csv:1:", "\"lid_degC\" is not known"},
      Bad{"time_s,cup_K\n0,1\n", "bad.csv:1:", "expected cup_degC"},
      Bad{"time_s,cup_degC,cup_degC\n0,1,2\n", "bad.csv:1:", "comes twice"},
      Bad{"time_s,added_degC\n0,1\n", "bad.csv:1:", "no cup_degC"},
      Bad{"time_s\n0\n", "bad.csv:1:", "no cup_degC"},
      Bad{"time_s,cup_degC\n", "bad.csv:1:", "no readings"},
      Bad{"time_s,cup_degC\n0.0,\n", "bad.csv:2:", "no readings"},
      Bad{"time_s,cup_degC\n0,22,31\n", "bad.csv:2:", "3 cells, but the header has 2"},
      Bad{"time_s,cup_degC,added_degC\n0,22\n", "bad.csv:2:", "2 cells, but the header has 3"},
      Bad{"time_s,cup_degC\n0,22\n0.5 s,22\n", "bad.csv:3:", "is not a time"},
      Bad{"time_s,cup_degC\n,22\n", "bad.csv:2:", "is not a time"},
      Bad{"time_s,cup_degC\nnan,22\n", "bad.csv:2:", "is not a time"},
      Bad{"time_s,cup_degC\n1e300,22\n", "bad.csv:2:", "is not a time"},
      Bad{"time_s,cup_degC\n1,22\n1,22\n", "bad.csv:3:", "times must rise"},
      Bad{"time_s,cup_degC\n1,22\n\n0.5,22\n", "bad.csv:4:", "does not come after 1.0"},
      Bad{"time_s,cup_degC\n1,22\n1.0000001,22\n", "bad.csv:3:", "times must rise"},
      Bad{"time_s,cup_degC\n0,22.3 degC\n", "bad.csv:2:", "is not a temperature"},
      Bad{"time_s,cup_degC\n0,NaN\n", "bad.csv:2:", "is not a temperature"},
      Bad{"time_s,cup_degC\n0,inf\n", "bad.csv:2:", "is not a temperature"},
      Bad{"time_s,cup_degC\n0,-274\n", "bad.csv:2:", "cup_degC"},
      Bad{"time_s,cup_degC\n0,2001\n", "bad.csv:2:", "is not a temperature"},
      Bad{"time_s,cup_degC\n0,\"22\n", "bad.csv:2:", "quoted cell does not end"},
      Bad{"time_s,cup_degC\n0,22\n# late\n", "bad.csv:3:", "1 cells"});
  INFO(bad.text);
  const std::string message = refusal(bad.text);
  CHECK_THAT(message, StartsWith(bad.where));
  CHECK_THAT(message, ContainsSubstring(bad.what));
}

TEST_CASE("written readings read back as the same numbers") {
  sim::Random random(3, 1);
  Trace trace;
  trace.roles = {ProbeRole::added, ProbeRole::cup, ProbeRole::room};
  TimeUs time_us = 1'780'000'000'123'457;
  const TimeUs origin_us = time_us;
  for (int i = 0; i < 500; ++i) {
    for (std::uint16_t probe = 0; probe < 3; ++probe) {
      if (random.uniform() < 0.3 && i > 0) continue;
      const double degC = -20.0 + 120.0 * random.uniform();
      trace.readings.push_back({probe, time_us, degC, degC});
      if (random.uniform() < 0.5) time_us += 1 + static_cast<TimeUs>(random.below(9'999));
    }
    time_us += 1 + static_cast<TimeUs>(random.below(3'000'000));
  }
  const std::string text = trace_text(trace.readings, trace.roles, trace.raw_units, origin_us);
  const Trace again = accepted(text);
  REQUIRE(again.readings.size() == trace.readings.size());
  for (std::size_t i = 0; i < again.readings.size(); ++i) {
    CHECK(again.readings[i].probe == trace.readings[i].probe);
    CHECK(again.readings[i].time_us == trace.readings[i].time_us - origin_us);
    CHECK(again.readings[i].temperature_degC == trace.readings[i].temperature_degC);
  }
  CHECK(trace_text(again.readings, again.roles, again.raw_units, 0) == text);
}

TEST_CASE("a trace file is read from disk, and a missing one named") {
  char folder[] = "/tmp/nestcup-trace-XXXXXX";
  REQUIRE(mkdtemp(folder) != nullptr);
  const std::string path = std::string(folder) + "/a.csv";
  std::ofstream(path) << "time_s,cup_degC\n0,22\n";
  const auto trace = read_trace(path);
  REQUIRE(trace);
  CHECK(trace->name == "a.csv");
  std::ofstream(path) << "time_s,cup_degC\nx,22\n";
  CHECK_THAT(read_trace(path).error().text, StartsWith(path + ":2:"));
  std::remove(path.c_str());
  CHECK(read_trace(path).error().kind == Fault::no_input);
  CHECK_THAT(read_trace(path).error().text, ContainsSubstring(path));
  CHECK(read_trace(folder).error().kind == Fault::io);
  std::remove(folder);
}
