// A capture on a pseudo-terminal: the captured device as a port.
#pragma once

#include <optional>
#include <string>

#include "core/base/clock.hpp"
#include "core/base/result.hpp"
#include "sim/capture_play.hpp"
#include "sim/pty.hpp"

namespace nestcup::sim {

/// How a capture is played.
struct PlayerOptions {
  std::string link;        ///< lasting path of the port
  bool wait_open = false;  ///< offsets count from when the port is first opened
  bool keep_open = false;  ///< the port stays after the capture's end
};

/// Plays a capture once. What is due while nobody has the port open is lost, as on a wire.
class Player {
 public:
  /// @param clock  runs at the speed of the play; must outlive the player
  Player(Capture capture, PlayerOptions options, const Clock& clock);

  /// Runs until the capture ends or `stop_fd` becomes readable. The link is gone afterwards.
  /// @errors cannot_create: no pseudo-terminal or no link
  [[nodiscard]] Result<void> run(int stop_fd);

 private:
  /// One turn: hears, speaks.
  void play(const Pty& pty);
  [[nodiscard]] std::chrono::nanoseconds until_next() const;

  Capture capture_;
  PlayerOptions options_;
  const Clock& clock_;
  bool open_ = false;
  std::optional<CapturePlay> play_;
};

}  // namespace nestcup::sim
