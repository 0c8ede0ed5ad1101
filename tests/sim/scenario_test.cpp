// Scenario files: what is read, and what is said about what is wrong.
#include "sim/scenario.hpp"

#include <filesystem>

#include "tests/catch.hpp"

using namespace nestcup;
using namespace nestcup::sim;

namespace {

const std::string good = R"([scenario]
name = "small"
duration_s = 100
[cup]
heat_capacity_J_per_K = 400
temperature_degC = 21
[[probe]]
name = "cup"
place = "cup"
)";

/// The message for a scenario that must be refused.
std::string complaint(const std::string& text) {
  const Result<Scenario> read = parse_scenario(text, "bench.toml");
  if (read.ok()) return "was taken";
  CHECK(read.error().kind == Fault::bad_configuration);
  return read.error().text;
}

bool says(const std::string& text, const std::string& part) {
  INFO(text);
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("a small scenario has sensible defaults") {
  const Result<Scenario> read = parse_scenario(good, "bench.toml");
  REQUIRE(read.ok());
  CHECK(read->name == "small");
  CHECK(read->interval_s == 0.5);
  CHECK(read->added.temperature_degC == read->room.temperature_degC);
  REQUIRE(read->probes.size() == 1);
  CHECK(read->probes[0].lag_s == 4.0);
  CHECK(read->events.empty());
  CHECK_FALSE(read->lid.has_value());
  CHECK_FALSE(read->layers.has_value());
  CHECK(read->probes[0].immersed == 1.0);
  CHECK(read->probes[0].averaged == 1);
  CHECK(read->probes[0].offset_K == 0.0);
  CHECK(read->probes[0].scale_error == 0.0);
}

TEST_CASE("layers and a probe's errors are read") {
  const Result<Scenario> read = parse_scenario(good + R"(immersed = 0.4
offset_K = -0.2
scale_error = 0.003
averaged = 5
[layers]
wander_K = 0.02
wander_s = 30
settle_s = 5
release_factor = 2
)",
                                               "bench.toml");
  REQUIRE(read.ok());
  CHECK(read->probes[0].immersed == 0.4);
  CHECK(read->probes[0].offset_K == -0.2);
  CHECK(read->probes[0].scale_error == 0.003);
  CHECK(read->probes[0].averaged == 5);
  REQUIRE(read->layers.has_value());
  CHECK(read->layers->wander_K == 0.02);
  CHECK(read->layers->wander_s == 30.0);
  CHECK(read->layers->settle_s == 5.0);
  CHECK(read->layers->release_factor == 2.0);
}

TEST_CASE("all shipped scenarios can be read") {
  int count = 0;
  const std::string folder = std::string(NESTCUP_SOURCE_DIR) + "/sim/scenarios";
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    const Result<Scenario> read = read_scenario(entry.path().string());
    INFO(entry.path().string() << (read.ok() ? "" : read.error().text));
    CHECK(read.ok());
    if (read.ok()) CHECK(read->name == entry.path().stem().string());
    ++count;
  }
  CHECK(count >= 11);
}

TEST_CASE("events and faults are put in time order, equal times in the file's order") {
  const Result<Scenario> read = parse_scenario(good + R"(
[[event]]
at_s = 50
what = "mix"
heat_J = -100
temperature_degC = 12
[[event]]
at_s = 10
what = "stir"
power_W = 1
[[event]]
at_s = 10
what = "carry"
probe = "cup"
to = "air"
[[fault]]
at_s = 9
kind = "unplug"
for_s = 3
[[fault]]
at_s = 3
kind = "cut"
count = 4
)",
                                               "bench.toml");
  REQUIRE(read.ok());
  REQUIRE(read->events.size() == 3);
  CHECK(std::holds_alternative<Stir>(read->events[0].what));
  CHECK(std::holds_alternative<CarryProbe>(read->events[1].what));
  const auto* mix = std::get_if<Mix>(&read->events[2].what);
  REQUIRE(mix != nullptr);
  CHECK(mix->from == Source::given);
  CHECK(mix->temperature_degC == 12.0);
  REQUIRE(read->faults.size() == 2);
  CHECK(read->faults[0].kind == LineFaultKind::cut);
  CHECK(read->faults[0].count == 4);
  CHECK(read->faults[1].for_s == 3.0);
}

TEST_CASE("a file that is not there") {
  const Result<Scenario> read = read_scenario("/nowhere/bench.toml");
  REQUIRE_FALSE(read.ok());
  CHECK(read.error().kind == Fault::no_input);
  CHECK(says(read.error().text, "/nowhere/bench.toml"));
}

TEST_CASE("complaints name file, line and key") {
  CHECK(says(complaint("[scenario\n"), "bench.toml:1: "));
  CHECK(says(complaint(good + "colour = \"red\"\n"), "bench.toml:10: probe 1.colour: unknown key"));
  CHECK(says(complaint(good + "lag_s = \"slow\"\n"),
             "bench.toml:10: probe 1.lag_s: expected a number"));
  CHECK(says(complaint(good + "lag_s = nan\n"), "bench.toml:10: probe 1.lag_s"));
  CHECK(says(complaint(good + "lag_s = 0.01\n"), "bench.toml:10: probe 1.lag_s"));
  CHECK(says(complaint(good + "immersed = 0\n"), "bench.toml:10: probe 1.immersed: 0 is not"));
  CHECK(says(complaint(good + "averaged = 0\n"), "bench.toml:10: probe 1.averaged"));
  CHECK(says(complaint(good + "averaged = 101\n"),
             "bench.toml:10: probe 1.averaged: expected 1 to 100"));
  CHECK(says(complaint(good + "[layers]\nrelease_factor = 0.5\n"),
             "bench.toml:11: layers.release_factor: 0.5 is not"));
  CHECK(says(complaint(good + "noise_K = -1\n"), "bench.toml:10: probe 1.noise_K: -1 is not"));
  CHECK(says(complaint(good + "[[event]]\nat_s = 3\nwhat = \"dance\"\n"),
             "bench.toml:12: event 1.what: expected"));
  CHECK(says(complaint(good + "[[event]]\nwhat = \"stir\"\npower_W = 1\n"),
             "bench.toml:10: event 1.at_s: missing"));
  CHECK(
      says(complaint(good + "[[event]]\nat_s = 3\nwhat = \"carry\"\nprobe = \"x\"\nto = \"air\"\n"),
           "bench.toml:13: event 1.probe: no [[probe]] is named \"x\""));
  const std::string mix = "[[event]]\nat_s = 3\nwhat = \"mix\"\n";
  CHECK(says(complaint(good + mix + "solid = \"cube\"\nsolid_s = 9\n"),
             "bench.toml:13: event 1.solid: expected \"sheet\""));
  CHECK(says(complaint(good + mix + "solid = \"rod\"\n"), "event 1.solid_s: missing"));
  CHECK(says(complaint(good + mix + "solid_s = 9\n"),
             "bench.toml:13: event 1.solid_s: needs \"solid\""));
  CHECK(says(complaint(good + "[[fault]]\nat_s = 3\nkind = \"fire\"\n"),
             "bench.toml:12: fault 1.kind: expected"));
  CHECK(says(complaint(good + "[[probe]]\nname = \"cup\"\nplace = \"air\"\n"),
             "bench.toml:11: probe 2.name: is taken"));
  CHECK(says(complaint(good + "[[probe]]\nname = \"Cup 2\"\nplace = \"air\"\n"),
             "bench.toml:11: probe 2.name: expected small letters"));
  CHECK(says(complaint("[cup]\nheat_capacity_J_per_K = 1\n"),
             "bench.toml:1: cup.temperature_degC: missing"));
}

TEST_CASE("a pour may not be disturbed") {
  const std::string mix = "[[event]]\nwhat = \"mix\"\npour_s = 5\nheat_J = 1\nat_s = ";
  CHECK(parse_scenario(good + mix + "20\n" + mix + "25\n", "bench.toml").ok());
  CHECK(says(complaint(good + mix + "20\n" + mix + "24\n"), "bench.toml:15: event.at_s: 24"));
}

TEST_CASE("everything wrong is said in one go, in the file's order") {
  const std::string text = complaint(good + "a = 1\nb = 2\n[room]\ncycle_s = true\n");
  const auto first = text.find("probe 1.a: unknown");
  const auto second = text.find("probe 1.b: unknown");
  const auto third = text.find("room.cycle_s: expected");
  REQUIRE(third != std::string::npos);
  CHECK(first < second);
  CHECK(second < third);
}
