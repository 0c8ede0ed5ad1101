// The serial ports of this machine, without opening any of them.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "drivers/line/port_access.hpp"

namespace nestcup::drivers {

/// Vendor and product of a USB device.
struct UsbId {
  int vendor = 0;   ///< 0 to 0xFFFF
  int product = 0;  ///< 0 to 0xFFFF
};

/// A serial port as a person needs to know it.
struct PortListing {
  std::string path;                 ///< such as /dev/ttyACM0; may be another one next time
  std::optional<std::string> link;  ///< lasting name, to be preferred as `device`
  std::string description;
  std::optional<UsbId> usb;
  std::string serial_number;  ///< of the USB device; empty where it has none
  PortAccessReport access;
};

/// Where udev keeps links whose names stay with the device.
inline constexpr const char* lasting_links = "/dev/serial/by-id";

/// All ports of this machine, in the order of their paths.
/// @errors io: the system does not list them
[[nodiscard]] Result<std::vector<PortListing>> list_ports();

/// The link in `folder` that leads to `path`, the first by name where there are several.
[[nodiscard]] std::optional<std::string> lasting_link(const std::string& path,
                                                      const std::string& folder = lasting_links);

}  // namespace nestcup::drivers
