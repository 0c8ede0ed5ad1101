// nestcup-sim on a real pseudo-terminal: what a reader of the port meets.
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <nlohmann/json.hpp>
#include <thread>

#include "sim/firmware_text.hpp"
#include "sim/simulate.hpp"
#include "tests/catch.hpp"
#include "tests/sim/sim_process.hpp"

using namespace nestcup;
using namespace nestcup::sim;
using std::chrono::milliseconds;

namespace {

/// A short scenario with one probe; `more` goes behind it.
std::string short_scenario(double duration_s, const std::string& more) {
  return fmt::format(R"([scenario]
name = "short"
seed = 5
duration_s = {}
interval_s = 0.5
[cup]
heat_capacity_J_per_K = 400
temperature_degC = 24.5
leak_W_per_K = 0
[[probe]]
name = "cup"
place = "cup"
{}
)",
                     duration_s, more);
}

/// Lines until the port hangs up or falls silent.
std::vector<std::string> all_lines(PortReader& port) {
  std::vector<std::string> lines;
  while (auto line = port.line(milliseconds(3000))) lines.push_back(*line);
  return lines;
}

/// A board whose banner is "hello", and which has to start after it was reset.
std::string booting_board(const TestFolder& folder, double boot_s) {
  return folder.file("s.toml", short_scenario(4000, fmt::format(R"([board]
banner = ["hello"]
boot_s = {}
)",
                                                                boot_s)));
}

void check_greeting(PortReader& port) {
  CHECK(port.line().value_or("none") == "hello");
  CHECK(port.line().value_or("none") == "# degC: cup");
  CHECK(port.line().value_or("none").substr(0, 2) == "24");
}

}  // namespace

TEST_CASE("the lines on the port are the trace of the same seed") {
  const TestFolder folder;
  const std::string file =
      folder.file("s.toml", short_scenario(40, "[board]\nreset_on_open = false\n"));
  const std::string link = folder.path("port");
  // Kept open, since lines still in the terminal's queue are lost when it hangs up.
  SimProcess process(
      {"--scenario", file, "--link", link, "--speed", "60", "--wait-open", "--keep-open"},
      folder.path("out"));
  REQUIRE(becomes_true([&] { return is_link(link); }));
  PortReader port(link);
  const auto scenario = read_scenario(file);
  REQUIRE(scenario.ok());
  const SimulatedRun run = simulate(*scenario, 5);
  const FirmwareText firmware(*scenario);
  REQUIRE(run.time_s.size() == 81);
  for (const double reading : run.probes[0].temperature_degC) {
    CHECK(port.line().value_or("none") + "\r\n" == firmware.report({{{reading}}, 0.0, 0.0}));
  }
}

TEST_CASE("at the scenario's end the port hangs up and the link is gone") {
  const TestFolder folder;
  const std::string file =
      folder.file("s.toml", short_scenario(20, "[board]\nreset_on_open = false\n"));
  const std::string link = folder.path("port");
  SimProcess process({"--scenario", file, "--link", link, "--speed", "60", "--wait-open"},
                     folder.path("out"));
  REQUIRE(becomes_true([&] { return is_link(link); }));
  PortReader port(link);
  CHECK_FALSE(all_lines(port).empty());
  CHECK(port.hung_up());
  CHECK(process.exit_code() == 0);
  CHECK_FALSE(is_link(link));
}

TEST_CASE("a board that is reset by opening is silent, then greets, then speaks") {
  const TestFolder folder;
  const std::string file = booting_board(folder, 60);
  const std::string link = folder.path("port");
  SimProcess process({"--scenario", file, "--link", link, "--speed", "30"}, folder.path("out"));
  REQUIRE(becomes_true([&] { return is_link(link); }));
  for (int time = 0; time < 2; ++time) {
    // The board has to have noticed that the port was closed.
    std::this_thread::sleep_for(milliseconds(1000));
    PortReader port(link);
    CHECK_FALSE(port.line(milliseconds(100)).has_value());
    check_greeting(port);
  }
}

TEST_CASE("a board that was held up during its boot greets before it speaks") {
  const TestFolder folder;
  const std::string file = booting_board(folder, 30);
  const std::string link = folder.path("port");
  SimProcess process({"--scenario", file, "--link", link, "--speed", "30"}, folder.path("out"));
  REQUIRE(becomes_true([&] { return is_link(link); }));
  PortReader port(link);
  CHECK_FALSE(port.line(milliseconds(300)).has_value());
  process.hold_up(milliseconds(1500));
  check_greeting(port);
}

TEST_CASE("the truth says how scenario time lies on the wall clock") {
  const TestFolder folder;
  const std::string file = folder.file(
      "s.toml", short_scenario(4000,
                               "[board]\nreset_on_open = false\nuptime_column = true\n"
                               "[[event]]\nat_s = 10\nwhat = \"mix\"\nheat_J = 2000\n"));
  const std::string link = folder.path("port");
  const std::string truth_file = folder.path("truth.json");
  SimProcess process({"--scenario", file, "--link", link, "--speed", "20", "--truth", truth_file},
                     folder.path("out"));
  // The truth is there before the port is.
  REQUIRE(becomes_true([&] { return is_link(link); }));
  const auto truth = nlohmann::json::parse(content_of(truth_file));
  CHECK(truth["speed"] == 20.0);
  CHECK(truth["mixings"][0]["mixing_time_s"] == 10.0);
  CHECK_THAT(truth["mixings"][0]["corrected_rise_K"].get<double>(), WithinAbs(5.0, 1e-9));
  PortReader port(link);
  // The first line may have waited while the port was closed, and a busy machine may hold up
  // others.
  double nearest_s = 1e9;
  for (int i = 0; i < 20; ++i) {
    const auto line = port.line();
    REQUIRE(line.has_value());
    const double now_us =
        static_cast<double>(std::chrono::duration_cast<std::chrono::microseconds>(
                                std::chrono::system_clock::now().time_since_epoch())
                                .count());
    const double scenario_s = (now_us - truth["started_wall_us"].get<double>()) / 1e6 * 20.0;
    nearest_s = std::min(nearest_s, std::abs(std::stod(*line) / 1000.0 - scenario_s));
  }
  // The board's own uptime is scenario time; 0.2 s of the machine are left for its scheduling.
  CHECK(nearest_s < 0.2 * 20.0);
}

TEST_CASE("an unplugged board takes its link away and comes back with it") {
  const TestFolder folder;
  const std::string file = folder.file(
      "s.toml", short_scenario(4000,
                               "[board]\nreset_on_open = false\n"
                               "[[fault]]\nat_s = 100\nkind = \"unplug\"\nfor_s = 300\n"));
  const std::string link = folder.path("port");
  SimProcess process({"--scenario", file, "--link", link, "--speed", "100", "--wait-open"},
                     folder.path("out"));
  REQUIRE(becomes_true([&] { return is_link(link); }));
  PortReader port(link);
  const std::size_t before = all_lines(port).size();
  CHECK(port.hung_up());
  // All lines up to the unplug, less what was still in the queue on a busy machine.
  CHECK(before > 100);
  CHECK(before <= 201);
  CHECK(becomes_true([&] { return !is_link(link); }));
  REQUIRE(becomes_true([&] { return is_link(link); }));
  PortReader again(link);
  CHECK(again.line().value_or("").substr(0, 2) == "24");
}

TEST_CASE("a polled board speaks only when asked") {
  const TestFolder folder;
  const std::string file = folder.file(
      "s.toml",
      short_scenario(4000, "[board]\nreset_on_open = false\npolled = true\nkeyed = true\n"));
  const std::string link = folder.path("port");
  SimProcess process({"--scenario", file, "--link", link, "--speed", "10"}, folder.path("out"));
  REQUIRE(becomes_true([&] { return is_link(link); }));
  PortReader port(link);
  CHECK_FALSE(port.line(milliseconds(200)).has_value());
  port.write("R\n");
  CHECK(port.line().value_or("").substr(0, 6) == "cup=24");
  CHECK_FALSE(port.line(milliseconds(200)).has_value());
  port.write("R\nwhat?\nR\n");
  CHECK(port.line().has_value());
  CHECK(port.line().has_value());
  CHECK_FALSE(port.line(milliseconds(200)).has_value());
}

TEST_CASE("SIGTERM ends it within 100 ms and the link is gone") {
  const TestFolder folder;
  const std::string file = folder.file("s.toml", short_scenario(4000, ""));
  const std::string link = folder.path("port");
  // The best of three: a busy machine may hold up one.
  auto quickest = std::chrono::steady_clock::duration::max();
  for (int time = 0; time < 3; ++time) {
    SimProcess process({"--scenario", file, "--link", link}, folder.path("out"));
    REQUIRE(becomes_true([&] { return is_link(link); }));
    const auto start = std::chrono::steady_clock::now();
    process.terminate();
    CHECK(process.exit_code() == 0);
    quickest = std::min(quickest, std::chrono::steady_clock::now() - start);
    CHECK_FALSE(is_link(link));
  }
  CHECK(quickest < milliseconds(100));
}

TEST_CASE("with --keep-open it goes on after the scenario's end") {
  const TestFolder folder;
  const std::string file =
      folder.file("s.toml", short_scenario(5, "[board]\nreset_on_open = false\n"));
  const std::string link = folder.path("port");
  SimProcess process(
      {"--scenario", file, "--link", link, "--speed", "100", "--keep-open", "--wait-open"},
      folder.path("out"));
  REQUIRE(becomes_true([&] { return is_link(link); }));
  PortReader port(link);
  for (int i = 0; i < 40; ++i) CHECK(port.line().has_value());
}
