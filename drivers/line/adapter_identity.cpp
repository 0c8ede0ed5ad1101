#include "drivers/line/adapter_identity.hpp"

#include <fmt/format.h>

#include <filesystem>

#include "drivers/line/first_line.hpp"

namespace nestcup::drivers {
namespace {

namespace fs = std::filesystem;

}  // namespace

bool AdapterIdentity::is_same_as(const AdapterIdentity& other) const {
  return vendor == other.vendor && product == other.product && serial == other.serial &&
         interface == other.interface && (!serial.empty() || usb_path == other.usb_path);
}

std::string AdapterIdentity::text() const {
  const std::string number = serial.empty() ? "no serial number" : "serial number " + serial;
  return fmt::format("{}:{}, {}, interface {}, socket {}", vendor, product, number,
                     interface.empty() ? "-" : interface, usb_path);
}

// The kernel's tree (Documentation/ABI/testing/sysfs-bus-usb): class/tty/NAME/device leads to the
// interface, which lies in the folder of its USB device.
std::optional<AdapterIdentity> adapter_behind(const std::string& path, const std::string& sysfs) {
  std::error_code fault;
  const fs::path device = fs::canonical(path, fault);
  if (fault) return std::nullopt;
  fs::path folder =
      fs::canonical(fs::path(sysfs) / "class/tty" / device.filename() / "device", fault);
  if (fault) return std::nullopt;
  AdapterIdentity found;
  for (; folder.has_relative_path() && folder != fs::path(sysfs); folder = folder.parent_path()) {
    if (found.interface.empty()) found.interface = first_line(folder / "bInterfaceNumber");
    found.vendor = first_line(folder / "idVendor");
    if (found.vendor.empty()) continue;
    found.product = first_line(folder / "idProduct");
    found.serial = first_line(folder / "serial");
    found.usb_path = folder.filename().string();
    return found;
  }
  return std::nullopt;
}

}  // namespace nestcup::drivers
