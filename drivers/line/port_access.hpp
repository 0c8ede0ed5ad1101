// Whether a port can be opened, told without opening it: opening raises DTR and resets boards.
#pragma once

#include <string>

namespace nestcup::drivers {

enum class PortAccess {
  free,           ///< nothing is in the way, as far as this process may see
  taken,          ///< another process has it open
  not_permitted,  ///< this process may not read and write it
  missing,        ///< there is no such file
};

/// A port's accessibility, and a sentence for a person where it is not free.
struct PortAccessReport {
  PortAccess access = PortAccess::free;
  std::string advice;  ///< who has it, or which group owns it and what to do; empty for free
};

/// Looks at file rights and at /proc; never opens the port.
[[nodiscard]] PortAccessReport look_at_port(const std::string& path);

/// Who has this port open or locked ("nestcupd (process 812)"); empty where /proc does not tell.
/// Other users' processes show only by their locks unless the caller is root. The calling process
/// itself counts only where it holds a lock.
[[nodiscard]] std::string holder_of(const std::string& path);

/// What is in the way of a port that may not be opened: mode, owner, group, and what to do.
[[nodiscard]] std::string permission_advice(const std::string& path);

}  // namespace nestcup::drivers
