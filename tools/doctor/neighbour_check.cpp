// Programs that take hold of serial ports by themselves: ModemManager asks every new port whether
// it is a modem, and brltty takes adapters with the chips of Braille displays.
#include <fmt/format.h>
#include <sys/stat.h>
#include <sys/sysmacros.h>

#include <algorithm>
#include <filesystem>
#include <fstream>

#include "tools/doctor/checks.hpp"

namespace nestcup::doctor {
namespace {

namespace fs = std::filesystem;

/// Whether a process of this name runs. The kernel keeps 15 letters of it (proc(5)).
bool runs(const std::string& processes, std::string_view name) {
  std::error_code fault;
  for (fs::directory_iterator entry(processes, fault), end; !fault && entry != end;
       entry.increment(fault)) {
    const std::string number = entry->path().filename().string();
    if (!std::all_of(number.begin(), number.end(), [](char c) { return c >= '0' && c <= '9'; })) {
      continue;
    }
    std::ifstream file(entry->path() / "comm");
    std::string line;
    if (std::getline(file, line) && line == name.substr(0, 15)) return true;
  }
  return false;
}

/// Whether udev tells ModemManager to leave the port alone.
bool is_left_alone(const std::string& udev, const std::string& device) {
  struct stat about {};
  if (::stat(device.c_str(), &about) != 0 || !S_ISCHR(about.st_mode)) return true;
  std::ifstream file(fmt::format("{}/c{}:{}", udev, major(about.st_rdev), minor(about.st_rdev)));
  for (std::string line; std::getline(file, line);) {
    if (line == "E:ID_MM_DEVICE_IGNORE=1" || line == "E:ID_MM_PORT_IGNORE=1") return true;
  }
  return false;
}

Check modem_check(const Bench& bench) {
  std::string open_to_it;
  for (const PortSettings& port : bench.file.ports) {
    if (is_left_alone(bench.machine.udev, port.device)) continue;
    open_to_it += (open_to_it.empty() ? "" : ", ") + port.name;
  }
  if (open_to_it.empty()) {
    return {"neighbours", Verdict::ok, "ModemManager runs, and leaves the bench's ports alone", ""};
  }
  return {"neighbours", Verdict::note,
          fmt::format("ModemManager runs, and may send its questions to {} after each plugging in",
                      open_to_it),
          "install 69-nestcup.rules, which tells it to leave such adapters alone"};
}

}  // namespace

Checks neighbour_checks(const Bench& bench) {
  Checks checks;
  if (runs(bench.machine.processes, "ModemManager")) checks.push_back(modem_check(bench));
  if (runs(bench.machine.processes, "brltty")) {
    checks.push_back({"neighbours", Verdict::note,
                      "brltty runs, which takes USB adapters that look like Braille displays: "
                      "such a port vanishes half a second after plugging in",
                      "take brltty off this machine if nobody needs Braille, or its rules for "
                      "generic adapters"});
  }
  if (checks.empty()) {
    checks.push_back({"neighbours", Verdict::ok,
                      "neither ModemManager nor brltty runs, which take ports by themselves", ""});
  }
  return checks;
}

}  // namespace nestcup::doctor
