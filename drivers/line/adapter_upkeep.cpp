#include "drivers/line/adapter_upkeep.hpp"

#include <charconv>
#include <filesystem>

#include "drivers/line/first_line.hpp"

namespace nestcup::drivers {
namespace {

namespace fs = std::filesystem;

}  // namespace

// class/tty/NAME/device leads to the port, where the kernel's driver ftdi_sio keeps latency_timer;
// it lies in the folder of its USB device, which has idVendor and power/control
// (Documentation/ABI/testing/sysfs-bus-usb).
AdapterUpkeep adapter_upkeep(const std::string& path, const std::string& sysfs) {
  AdapterUpkeep found;
  std::error_code fault;
  const fs::path device = fs::canonical(path, fault);
  if (fault) return found;
  fs::path folder =
      fs::canonical(fs::path(sysfs) / "class/tty" / device.filename() / "device", fault);
  if (fault) return found;
  const std::string timer = first_line(folder / "latency_timer");
  int ms = 0;
  if (std::from_chars(timer.data(), timer.data() + timer.size(), ms).ec == std::errc{}) {
    found.latency_ms = ms;
  }
  for (; folder.has_relative_path() && folder != fs::path(sysfs); folder = folder.parent_path()) {
    if (first_line(folder / "idVendor").empty()) continue;
    const std::string control = first_line(folder / "power/control");
    if (!control.empty()) found.may_sleep = control == "auto";
    break;
  }
  return found;
}

}  // namespace nestcup::drivers
