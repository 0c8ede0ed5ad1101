// Whether a file system can carry a store. Internal to the room.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace nestcup {

/// Name of the network file system with this number (statfs(2), f_type); nothing for local ones.
[[nodiscard]] std::optional<std::string> network_name(long filesystem_type);

/// Name of a network file system in user space, out of the text of /proc/self/mountinfo (proc(5)).
/// @param device  "major:minor" of the file's device
[[nodiscard]] std::optional<std::string> fuse_network_name(std::string_view mountinfo,
                                                           std::string_view device);

/// Name of the network file system that holds `folder`; nothing where it is local or not known.
[[nodiscard]] std::optional<std::string> network_filesystem(const std::string& folder);

}  // namespace nestcup
