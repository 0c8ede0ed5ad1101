// Protocol: bytes of a line in, raw quantities or distinct faults out, requests out. Pure: no port
// and no clock of its own.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "core/base/clock.hpp"
#include "drivers/protocol/line_fault.hpp"

namespace nestcup::drivers {

/// A number as the device sent it, for one channel of the port.
struct Quantity {
  std::size_t channel = 0;  ///< index in the list of channels that the protocol was made with
  double value = 0.0;       ///< finite, as sent: in the channel's unit, not yet scaled
};

/// What a complete line (or frame) turned out to be.
enum class LineKind : std::uint8_t {
  data,     ///< held at least one wanted quantity
  faulty,   ///< should have been data
  header,   ///< a banner or the names of the columns
  comment,  ///< marked as not being data
  empty,    ///< nothing but blanks
  first,    ///< the rest of a line that began before listening; never looked at
};

/// Takes what a protocol finds. For each line: its quantities and faults, then `line`.
class ProtocolSink {
 public:
  virtual ~ProtocolSink() = default;
  virtual void quantity(const Quantity& found, TimeUs stamp_us) = 0;
  /// @param channel  nothing where the whole line is at fault
  virtual void fault(LineFault kind, std::optional<std::size_t> channel) = 0;
  virtual void line(LineKind kind, TimeUs stamp_us) = 0;
  /// What the device says of itself (identity, error), for a person.
  virtual void remark(std::string_view text) = 0;
};

/// How questions and answers follow each other on the line of a polled device.
struct ExchangeManners {
  double pause_s = 0.0;  ///< silence kept before each question
  /// An answer that stops for so long is over, whole or not; 0: only its own end ends it.
  double quiet_s = 0.0;
  /// Whether a reading belongs to the middle of its exchange instead of the end of the answer.
  bool stamp_middle = false;
};

/// The way a device speaks. The outcome never depends on how the bytes were split.
class Protocol {
 public:
  virtual ~Protocol() = default;

  /// Takes bytes as they came; `stamp_us` is when the last of them arrived (bench axis).
  virtual void feed(std::span<const char> bytes, TimeUs stamp_us, ProtocolSink& sink) = 0;
  /// The line was opened anew: drops what is unfinished (a fault where a line was cut) and takes
  /// nothing before the first whole line.
  virtual void reset(ProtocolSink& sink) = 0;

  /// Whether the device has to be asked.
  [[nodiscard]] virtual bool is_polled() const { return false; }
  [[nodiscard]] virtual ExchangeManners manners() const { return {}; }
  /// The next question of the round under way, else the first of a new round; empty: the round is
  /// over. A device that did not answer is left alone for a while, so that a late answer is not
  /// taken for one to a later question.
  [[nodiscard]] virtual std::string next_request(TimeUs /*now_us*/) { return {}; }
  /// Whether the last question has had its answer, good or bad (or wants none).
  [[nodiscard]] virtual bool is_answered() const { return true; }
  /// Whether part of that answer has come, or one that was spoilt.
  [[nodiscard]] virtual bool is_begun() const { return false; }
  /// The answer to the last question did not come, or broke off: what is unfinished is dropped as
  /// a fault.
  virtual void give_up(TimeUs /*now_us*/, ProtocolSink& /*sink*/) {}
};

}  // namespace nestcup::drivers
