// What nestcup doctor makes of a machine: files as the kernel shows them, and figures.
#include <unistd.h>

#include <filesystem>
#include <fstream>

#include "tests/catch.hpp"
#include "tools/doctor/checks.hpp"

using namespace nestcup;
using namespace nestcup::doctor;

namespace {

namespace fs = std::filesystem;

/// A machine of its own in a folder: an adapter behind a port that is a plain file.
class Workshop {
 public:
  Workshop() {
    std::string name = (fs::temp_directory_path() / "nestcup_doctor_XXXXXX").string();
    if (mkdtemp(name.data()) == nullptr) throw std::runtime_error("no temporary folder");
    folder_ = name;
    put("dev/ttyUSB0", "");
    const fs::path device = folder_ / "sys/devices/usb1/1-1";
    put("sys/devices/usb1/1-1/idVendor", "0403\n");
    fs::create_directories(device / "1-1:1.0/ttyUSB0/tty/ttyUSB0");
    fs::create_directories(folder_ / "sys/class/tty");
    fs::create_symlink(device / "1-1:1.0/ttyUSB0/tty/ttyUSB0", folder_ / "sys/class/tty/ttyUSB0");
    fs::create_symlink(device / "1-1:1.0/ttyUSB0", device / "1-1:1.0/ttyUSB0/tty/ttyUSB0/device");
  }
  Workshop(const Workshop&) = delete;
  Workshop& operator=(const Workshop&) = delete;
  ~Workshop() {
    std::error_code ignored;
    fs::remove_all(folder_, ignored);
  }

  void put(const std::string& name, const std::string& text) const {
    fs::create_directories((folder_ / name).parent_path());
    std::ofstream(folder_ / name) << text;
  }
  void sleeps(const std::string& control) const {
    put("sys/devices/usb1/1-1/power/control", control + "\n");
  }
  void holds_back(int ms) const {
    put("sys/devices/usb1/1-1/1-1:1.0/ttyUSB0/latency_timer", std::to_string(ms) + "\n");
  }
  [[nodiscard]] doctor::Bench bench(const std::string& protocol = "text") const {
    doctor::Bench bench;
    bench.file.name = "bench-4";
    PortSettings port;
    port.name = "board";
    port.device = folder_ / "dev/ttyUSB0";
    port.protocol = protocol;
    bench.file.ports = {port};
    bench.machine = {folder_ / "sys", folder_ / "proc", folder_ / "udev"};
    return bench;
  }

 private:
  fs::path folder_;
};

/// Verdicts in one line: "note, ok".
std::string verdicts(const Checks& checks) {
  std::string text;
  for (const Check& check : checks) {
    CHECK((check.verdict == Verdict::ok) == check.remedy.empty());
    text += (text.empty() ? "" : ", ") + std::string(verdict_word(check.verdict));
  }
  return text;
}

}  // namespace

TEST_CASE("an adapter that may be put to sleep is noted") {
  const Workshop shop;
  CHECK(verdicts(adapter_checks(shop.bench())) == "");  // nothing is known of it
  shop.sleeps("on");
  CHECK(verdicts(adapter_checks(shop.bench())) == "ok");
  shop.sleeps("auto");
  CHECK(verdicts(adapter_checks(shop.bench())) == "note");
}

TEST_CASE("an adapter that holds bytes back is noted where it is asked") {
  const Workshop shop;
  shop.holds_back(16);
  CHECK(verdicts(adapter_checks(shop.bench("text"))) == "ok");
  CHECK(verdicts(adapter_checks(shop.bench("modbus-rtu"))) == "note");
  shop.holds_back(1);
  CHECK(verdicts(adapter_checks(shop.bench("modbus-rtu"))) == "ok");
}

TEST_CASE("programs that take ports by themselves are found by their names") {
  const Workshop shop;
  shop.put("proc/1/comm", "init\n");
  shop.put("proc/self/comm", "ModemManager\n");  // no process's number
  CHECK(verdicts(neighbour_checks(shop.bench())) == "ok");
  shop.put("proc/812/comm", "brltty\n");
  CHECK(verdicts(neighbour_checks(shop.bench())) == "note");
  shop.put("proc/813/comm", "ModemManager\n");
  const Checks both = neighbour_checks(shop.bench());
  REQUIRE(both.size() == 2);
  CHECK_THAT(both[0].what, ContainsSubstring("ModemManager"));
  CHECK_THAT(both[1].what, ContainsSubstring("brltty"));
}

TEST_CASE("udev's word keeps ModemManager off a port") {
  const Workshop shop;
  shop.put("proc/813/comm", "ModemManager\n");
  doctor::Bench bench = shop.bench();
  bench.file.ports[0].device = "/dev/null";  // a character device that is everywhere: 1:3
  CHECK(verdicts(neighbour_checks(bench)) == "note");
  shop.put("udev/c1:3", "S:serial/by-id/x\nE:ID_MM_DEVICE_IGNORE=1\n");
  CHECK(verdicts(neighbour_checks(bench)) == "ok");
}

TEST_CASE("ports that are not there, and names by the order of plugging in") {
  const Workshop shop;
  CHECK(verdicts(port_checks(shop.bench())) == "ok");
  doctor::Bench bench = shop.bench();
  bench.file.ports[0].device = "/dev/ttyUSB97";
  CHECK(verdicts(port_checks(bench)) == "trouble, note");
  bench.file.ports[0].device = "/dev/serial/by-id/usb-none";
  CHECK(verdicts(port_checks(bench)) == "trouble");
}

TEST_CASE("a disk is judged by the days that it lasts") {
  DiskFacts facts;
  facts.free_bytes = 50e6;
  CHECK(verdicts(judge_disk(facts)) == "trouble");
  facts.free_bytes = 1e9;
  CHECK(verdicts(judge_disk(facts)) == "ok");  // no readings: no rate
  facts.bytes_a_day = 200e6;                   // five days
  CHECK(verdicts(judge_disk(facts)) == "trouble");
  facts.bytes_a_day = 30e6;  // a month
  CHECK(verdicts(judge_disk(facts)) == "note");
  facts.bytes_a_day = 3e6;
  CHECK(verdicts(judge_disk(facts)) == "ok");
}

TEST_CASE("what is removed in time needs no further room") {
  DiskFacts facts;
  facts.free_bytes = 1e9;
  facts.bytes_a_day = 30e6;
  facts.keep_days = 90.0;
  facts.store_bytes = 100e6;  // 2.6 GB are still to come
  CHECK(verdicts(judge_disk(facts)) == "note");
  facts.store_bytes = 2.6e9;  // nearly all of it is there
  CHECK(verdicts(judge_disk(facts)) == "ok");
  facts.store_bytes = 100e6;
  facts.keep_days = 20.0;
  CHECK(verdicts(judge_disk(facts)) == "ok");
}

TEST_CASE("a flush that is too quick for a card is none") {
  CHECK(verdicts(judge_flush({10.0, true})) == "note");
  CHECK(verdicts(judge_flush({10.0, false})) == "ok");  // a disk with a battery behind it
  CHECK(verdicts(judge_flush({900.0, true})) == "ok");
  CHECK(verdicts(judge_flush({400'000.0, false})) == "note");
}

TEST_CASE("a clock is judged by what is known of it") {
  CHECK(verdicts(judge_clock({true, 0.4, -3.0})) == "ok");
  CHECK(verdicts(judge_clock({false, std::nullopt, std::nullopt})) == "note");
  CHECK(verdicts(judge_clock({std::nullopt, std::nullopt, std::nullopt})) == "note");
  CHECK(verdicts(judge_clock({true, -90.0, -3.0})) == "note");
  const Checks behind = judge_clock({true, 0.0, 86'400.0 * 3.0});
  CHECK(verdicts(behind) == "trouble");
  CHECK_THAT(behind[0].what, ContainsSubstring("3 days behind"));
  CHECK(verdicts(judge_clock({false, 0.0, 86'400.0})) == "trouble, note");
}

TEST_CASE("sizes and spans of time are told in fitting units") {
  CHECK(size_text(2.54e9) == "2.5 GB");
  CHECK(size_text(3.1e8) == "310.0 MB");
  CHECK(size_text(12'300.0) == "12 kB");
  CHECK(span_text(3.0 * 86'400.0) == "3 days");
  CHECK(span_text(5.0 * 3600.0) == "5 h");
  CHECK(span_text(40.0) == "40 s");
}
