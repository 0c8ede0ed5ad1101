// SerialDescriptor: an open serial port, taken for us alone and set up for raw bytes.
#pragma once

#include <string>

#include "core/base/result.hpp"
#include "core/sheet/port_settings.hpp"

namespace nestcup::drivers {

/// 1200 Bd makes many boards with their own USB jump into their boot loader when the port is
/// closed; it is a command to them, not a speed.
inline constexpr int refused_baud = 1200;

/// Owns the file descriptor of an open port. Closing flushes first, so that it cannot block.
///
/// A port is taken with flock(2), which other careful programs honour, and with TIOCEXCL, which the
/// kernel imposes on all but root. Pseudo-terminals are spared TIOCEXCL: there it outlives a killed
/// holder as long as the other end lives, and nobody could open the port again.
class SerialDescriptor {
 public:
  /// Opens without blocking, close-on-exec, not as controlling terminal; input that waits is
  /// thrown away.
  /// @param path  of the device or of a lasting link to it
  /// @param mode  1200 Bd is refused unless it is allowed expressly
  /// @errors no_input: no such file; not_permitted: names the owning group and what to do;
  ///         try_later: somebody else has it, named where /proc tells; unavailable: it is going
  ///         away; bad_configuration: no serial port, or it cannot do that rate
  [[nodiscard]] static Result<SerialDescriptor> open(const std::string& path, const LineMode& mode);

  SerialDescriptor(SerialDescriptor&& other) noexcept;
  SerialDescriptor& operator=(SerialDescriptor&& other) noexcept;
  ~SerialDescriptor();

  [[nodiscard]] int get() const { return descriptor_; }

 private:
  explicit SerialDescriptor(int descriptor) : descriptor_(descriptor) {}

  int descriptor_ = -1;
  bool taken_ = false;  // a port that another holds must not be flushed on the way out
};

/// Whether the other end of an open port is gone for good (and not merely quiet).
[[nodiscard]] bool is_hung_up(int descriptor);

}  // namespace nestcup::drivers
