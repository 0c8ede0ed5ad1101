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

/// Whether SQLite's shared memory (-shm) may grow in `folder`. It has each of its pages allocated
/// by one byte; where a block is smaller than a page, the rest is allocated when it is touched, and
/// on a full disk that ends the program (SIGBUS).
[[nodiscard]] bool has_room_for_index(const std::string& folder);

}  // namespace nestcup
