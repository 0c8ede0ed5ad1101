// Which adapter stands behind a port's path, told without opening it.
#pragma once

#include <optional>
#include <string>

namespace nestcup::drivers {

/// What the kernel knows of a USB adapter. Names of ports change with the order of plugging in, and
/// so do links where several adapters have the same serial number (many have none, or all the
/// same); these together tell them apart.
struct AdapterIdentity {
  std::string vendor;     ///< four hexadecimal digits
  std::string product;    ///< four hexadecimal digits
  std::string serial;     ///< empty where the adapter has none
  std::string interface;  ///< two hexadecimal digits: which port of a device with several
  std::string usb_path;   ///< the socket it is plugged into, such as "1-1.4"

  /// Whether this is the same adapter. One with a serial number may move to another socket; one
  /// without is known by its socket alone.
  [[nodiscard]] bool is_same_as(const AdapterIdentity& other) const;
  /// "1a86:7523, no serial number, interface 00, socket 1-1.4"
  [[nodiscard]] std::string text() const;
};

/// The adapter behind `path` (a device or a link to one).
/// @param sysfs  where the kernel shows its devices; another folder in tests
/// @return nothing for what is no USB adapter (a pseudo-terminal, a port on the board) or is gone
[[nodiscard]] std::optional<AdapterIdentity> adapter_behind(const std::string& path,
                                                            const std::string& sysfs = "/sys");

}  // namespace nestcup::drivers
