// What a captured device says when: a capture played against a listener that may ask anew.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "sim/capture_file.hpp"

namespace nestcup::sim {

/// Plays a capture. What the device said before the first question comes at its offset from the
/// opening. At each question (`>`) the play waits until those bytes have been heard, in whatever
/// pieces and behind whatever other bytes; what follows comes as long after the question as it did
/// when it was captured. It has no clock and no port.
class CapturePlay {
 public:
  /// @param start_us  the opening of the port on the caller's clock
  CapturePlay(Capture capture, TimeUs start_us);

  /// Takes bytes that came from the computer now.
  void hear(std::string_view bytes, TimeUs now_us);
  /// All that the device has said until now and that has not been taken yet.
  [[nodiscard]] std::string due(TimeUs now_us);
  /// When the device speaks next; nothing while it waits for a question, or at the end.
  [[nodiscard]] std::optional<TimeUs> next_us() const;
  /// Whether all has been said and asked.
  [[nodiscard]] bool done() const { return next_ == capture_.pieces.size(); }

 private:
  /// Goes past all questions that have been heard.
  void match(TimeUs now_us);

  Capture capture_;
  std::size_t next_ = 0;  ///< the piece that is waited for or to be said
  TimeUs shift_us_;       ///< from an offset to the caller's clock
  std::string heard_;     ///< and not yet matched
};

}  // namespace nestcup::sim
