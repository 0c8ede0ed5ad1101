// Each protocol, its faults and captures on a real pseudo-terminal.
#include <fmt/format.h>

#include <chrono>
#include <nlohmann/json.hpp>

#include "sim/modbus_frame.hpp"
#include "tests/catch.hpp"
#include "tests/sim/firmware_bench.hpp"
#include "tests/sim/sim_process.hpp"

using namespace nestcup;
using namespace nestcup::sim;
using std::chrono::milliseconds;

namespace {

/// A bench at 24.5 degC with one probe that has no noise; the probe's keys and more tables.
std::string scenario(const std::string& probe, const std::string& more) {
  return fmt::format(R"([scenario]
name = "short"
duration_s = 4000
interval_s = 0.5
[room]
temperature_degC = 24.5
[cup]
heat_capacity_J_per_K = 400
temperature_degC = 24.5
[[probe]]
name = "cup"
place = "cup"
noise_K = 0
{}
{}
)",
                     probe, more);
}

/// A running board with its port open.
class OpenPort {
 public:
  OpenPort(const std::string& text, const std::string& option,
           const std::vector<std::string>& more = {}) {
    std::vector<std::string> words{option, folder_.file("input", text), "--link", link()};
    words.insert(words.end(), more.begin(), more.end());
    process_.emplace(words, folder_.path("out"));
    REQUIRE(becomes_true([&] { return is_link(link()); }));
    port_.emplace(link());
  }
  [[nodiscard]] std::string link() const { return folder_.path("port"); }
  [[nodiscard]] PortReader& port() { return *port_; }
  [[nodiscard]] SimProcess& process() { return *process_; }

 private:
  TestFolder folder_;
  std::optional<SimProcess> process_;
  std::optional<PortReader> port_;
};

const std::string modbus_board = "[board]\nprotocol = \"modbus-rtu\"\n";
const std::string int16_probe = "device = 17\nregister = 4\nformat = \"int16\"\nscale = 0.01\n";
/// 24.5 degC in hundredths: 2450 = 0x0992.
const std::string request = modbus_frame(bytes_of("11 04 00 04 00 01"));
const std::string answer = modbus_frame(bytes_of("11 04 02 09 92"));

}  // namespace

TEST_CASE("a Modbus slave answers on a port, and is silent where it must be") {
  OpenPort board(scenario(int16_probe, modbus_board), "--scenario");
  board.port().write(request);
  CHECK(board.port().bytes(answer.size()) == answer);
  board.port().write(modbus_frame(bytes_of("12 04 00 04 00 01")));
  CHECK(board.port().bytes(1, milliseconds(200)).empty());
  board.port().write(modbus_frame(bytes_of("11 04 00 05 00 01")));
  CHECK(hex_of(board.port().bytes(5)).substr(0, 8) == "11 84 02");
}

TEST_CASE("an adapter that echoes sends the question back before the answer") {
  OpenPort board(scenario(int16_probe, modbus_board + "echo = true\nanswer_delay_s = 0.1\n"),
                 "--scenario");
  const auto start = std::chrono::steady_clock::now();
  board.port().write(request);
  CHECK(board.port().bytes(request.size()) == request);
  CHECK(board.port().bytes(answer.size()) == answer);
  CHECK(std::chrono::steady_clock::now() - start >= milliseconds(100));
}

TEST_CASE("the fault script reaches answers") {
  OpenPort board(
      scenario(int16_probe, modbus_board + "[[fault]]\nat_s = 0\nkind = \"asleep\"\n"
                                           "[[fault]]\nat_s = 0\nkind = \"exception\"\ncode = 6\n"
                                           "count = 2\n"),
      "--scenario");
  board.port().write(request);
  CHECK(board.port().bytes(1, milliseconds(200)).empty());
  board.port().write(request);
  CHECK(board.port().bytes(5) == modbus_frame(bytes_of("11 84 06")));
  board.port().write(request);
  CHECK(board.port().bytes(answer.size()) == answer);
}

TEST_CASE("a late answer comes behind the next one") {
  OpenPort board(
      scenario(int16_probe,
               "[[probe]]\nname = \"two\"\nplace = \"cup\"\nnoise_K = 0\ndevice = 18\n"
               "register = 0\nformat = \"int16\"\n" +
                   modbus_board + "[[fault]]\nat_s = 0\nkind = \"late\"\ndelay_s = 1.5\n"),
      "--scenario");
  board.port().write(request);
  CHECK(board.port().bytes(1, milliseconds(100)).empty());
  board.port().write(modbus_frame(bytes_of("12 04 00 00 00 01")));
  CHECK(board.port().bytes(7) == modbus_frame(bytes_of("12 04 02 00 19")));
  CHECK(board.port().bytes(answer.size()) == answer);
}

TEST_CASE("a line that hangs up in the middle of a frame, and comes back") {
  OpenPort board(scenario("",
                          "[board]\nreset_on_open = false\n[[fault]]\nat_s = 2\nkind = "
                          "\"hang-up\"\ndelay_s = 0.3\nfor_s = 2\n"),
                 "--scenario", {"--wait-open"});
  for (int i = 0; i < 4; ++i) CHECK(board.port().line() == "24.50");
  CHECK(board.port().bytes(100) == "24.5");
  CHECK(board.port().hung_up());
  CHECK(becomes_true([&] { return !is_link(board.link()); }));
  REQUIRE(becomes_true([&] { return is_link(board.link()); }));
  PortReader again(board.link());
  CHECK(again.line() == "24.50");
}

TEST_CASE("a broken probe on a port, until it is mended") {
  OpenPort board(scenario("",
                          "[board]\nreset_on_open = false\n"
                          "[[event]]\nat_s = 1\nwhat = \"break\"\nprobe = \"cup\"\n"
                          "[[event]]\nat_s = 2\nwhat = \"mend\"\nprobe = \"cup\"\n"),
                 "--scenario", {"--wait-open", "--speed", "10"});
  for (const auto* line : {"24.50", "24.50", "nan", "nan", "24.50"}) {
    CHECK(board.port().line() == line);
  }
}

TEST_CASE("SenML packs stream, an instrument answers SCPI") {
  OpenPort board(scenario("", "[board]\nprotocol = \"senml\"\nboot_s = 0\n"), "--scenario",
                 {"--speed", "10"});
  const auto pack =
      nlohmann::json::parse(board.port().until("\n").value_or("none"), nullptr, false);
  REQUIRE(pack.is_array());
  CHECK(pack[0]["n"] == "cup");
  CHECK(pack[0]["v"] == 24.5);
  OpenPort meter(scenario("", "[board]\nprotocol = \"scpi\"\n"), "--scenario");
  meter.port().write("MEAS:TEMP? (@1)\n");
  CHECK(meter.port().until("\n") == "+2.45000000E+01");
  meter.port().write("NONSENSE?\r\nSYST:ERR?\r\n");
  CHECK(meter.port().until("\n") == "-113,\"Undefined header\"");
}

TEST_CASE("a capture is played, ends, and takes its link away") {
  OpenPort device("# nestcup-capture 1\n100000 < 610d0a\n300000 > 520a\n400000 < 620d0a\n",
                  "--capture", {"--wait-open"});
  const auto start = std::chrono::steady_clock::now();
  CHECK(device.port().line() == "a");
  CHECK(std::chrono::steady_clock::now() - start >= milliseconds(90));
  CHECK_FALSE(device.port().line(milliseconds(500)).has_value());
  device.port().write("R");
  device.port().write("\n");
  CHECK(device.port().line() == "b");
  CHECK_FALSE(device.port().line(milliseconds(3000)).has_value());
  CHECK(device.port().hung_up());
  CHECK(device.process().exit_code() == 0);
  CHECK_FALSE(is_link(device.link()));
}

TEST_CASE("a capture at speed, kept open") {
  OpenPort device("# nestcup-capture 1\n60000000 < 610d0a\n120000000 < 620d0a\n", "--capture",
                  {"--wait-open", "--speed", "600", "--keep-open"});
  CHECK(device.port().line(milliseconds(5000)) == "a");
  CHECK(device.port().line(milliseconds(5000)) == "b");
  CHECK_FALSE(device.port().line(milliseconds(500)).has_value());
  CHECK_FALSE(device.port().hung_up());
  device.process().terminate();
  CHECK(device.process().exit_code() == 0);
}
