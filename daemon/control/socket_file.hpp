// The Unix socket in the file system: made without harming what is there, removed at the end.
#pragma once

#include <sys/types.h>

#include <string>

#include "core/base/result.hpp"

namespace nestcup::daemon {

/// A listening Unix socket and its file. Closes and removes both when it goes, the file only while
/// it is still the one made here.
class SocketFile {
 public:
  /// Makes the socket with mode 0660 and listens. What a dead daemon left behind is replaced; a
  /// socket that somebody answers on, and anything that is not a socket, stays untouched.
  /// @errors bad_configuration: path empty or too long; try_later: a daemon is there already;
  ///   cannot_create: the path is taken by something else or cannot be made; not_permitted
  [[nodiscard]] static Result<SocketFile> open(const std::string& path);

  SocketFile(SocketFile&& other) noexcept;
  SocketFile& operator=(SocketFile&& other) = delete;
  ~SocketFile();

  [[nodiscard]] int descriptor() const { return descriptor_; }
  [[nodiscard]] gid_t group() const { return group_; }

  /// Hands the descriptor over to the caller, who closes it; the file is still removed here.
  [[nodiscard]] int release_descriptor();

  /// Removes the file now. May be called again.
  void remove();

 private:
  SocketFile() = default;

  std::string path_;  ///< empty once removed
  int descriptor_ = -1;
  dev_t device_ = 0;
  ino_t inode_ = 0;
  gid_t group_ = 0;
};

}  // namespace nestcup::daemon
