// Settings of the kernel under which a USB adapter goes silent or late, told without opening it.
#pragma once

#include <optional>
#include <string>

namespace nestcup::drivers {

struct AdapterUpkeep {
  /// Whether the adapter may be put to sleep while nothing is sent (sysfs: power/control is
  /// "auto"); some then lose what arrives.
  std::optional<bool> may_sleep;
  /// FTDI adapters alone: how long they hold bytes back, ms (sysfs: latency_timer).
  std::optional<int> latency_ms;
};

/// What the kernel says of the adapter behind `path` (a device or a link to one).
/// @param sysfs  where the kernel shows its devices; another folder in tests
[[nodiscard]] AdapterUpkeep adapter_upkeep(const std::string& path,
                                           const std::string& sysfs = "/sys");

}  // namespace nestcup::drivers
