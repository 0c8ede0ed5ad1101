// A pseudo-terminal as the board's end of a cable, and the lasting name of its other end.
#pragma once

#include <chrono>
#include <string>
#include <string_view>

#include "core/base/result.hpp"

namespace nestcup::sim {

/// The board's end of a pseudo-terminal in raw mode. Closing it is what unplugging looks like.
class Pty {
 public:
  /// @errors cannot_create: no pseudo-terminal is to be had
  [[nodiscard]] static Result<Pty> open();

  Pty(Pty&& other) noexcept;
  Pty& operator=(Pty&& other) noexcept;
  Pty(const Pty&) = delete;
  Pty& operator=(const Pty&) = delete;
  ~Pty();

  /// For poll(); hangs up (POLLHUP) as long as nobody has the other end open.
  [[nodiscard]] int descriptor() const { return descriptor_; }
  /// Path of the other end.
  [[nodiscard]] const std::string& other_end() const { return other_end_; }
  /// Whether somebody has the other end open.
  [[nodiscard]] bool in_use() const;

  /// What came from the other end; empty where nothing did or nobody is there.
  [[nodiscard]] std::string read() const;
  /// Sends bytes. What does not fit because nobody reads is lost, as on a wire.
  void write(std::string_view bytes) const;
  /// Throws away what was sent and not read. To be called once the other end is closed: a line
  /// sent just then would wait in the terminal for whoever opens it next; an adapter begins empty.
  void discard_unread() const;

 private:
  Pty(int descriptor, std::string other_end);

  int descriptor_ = -1;
  std::string other_end_;
};

/// No wait for a port is longer than this, so that no sum overflows.
inline constexpr std::chrono::nanoseconds longest_port_wait = std::chrono::seconds(1);

/// Waits for `span`, or until bytes come; a closed port is looked at often, since nothing tells
/// when it is opened.
/// @param pty   the port, or none
/// @param open  whether somebody has it open
/// @return false when `stop_fd` has become readable
bool wait_for_port(int stop_fd, const Pty* pty, bool open, std::chrono::nanoseconds span);

/// A symbolic link that exists as long as this object, unless somebody else has taken the name.
class DeviceLink {
 public:
  /// Makes `path` point to `target` in one step; replaces a symbolic link, nothing else.
  /// @errors cannot_create: the folder is missing or not writable, or `path` is no link
  [[nodiscard]] static Result<DeviceLink> make(const std::string& target, const std::string& path);

  DeviceLink(DeviceLink&& other) noexcept;
  DeviceLink& operator=(DeviceLink&& other) noexcept;
  DeviceLink(const DeviceLink&) = delete;
  DeviceLink& operator=(const DeviceLink&) = delete;
  ~DeviceLink();

 private:
  DeviceLink(std::string target, std::string path);

  std::string target_;
  std::string path_;  ///< empty: nothing to remove
};

}  // namespace nestcup::sim
