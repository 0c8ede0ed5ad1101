// Protocol: bytes of a line in, raw quantities or distinct faults out. Pure: no port, no clock.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "core/base/clock.hpp"
#include "core/sheet/port_settings.hpp"

namespace nestcup::drivers {

/// What can be wrong with what a device sent; each kind is counted on its own.
enum class LineFault : std::uint8_t {
  incomplete,       ///< the line was cut by a hang-up or a reopening
  line_too_long,    ///< longer than the protocol allows; dropped up to the next terminator
  bad_byte,         ///< a byte that a text line cannot hold; poisons the whole line
  unexpected_text,  ///< words where data should be
  missing_column,   ///< the line has fewer columns than wanted
  missing_key,      ///< the line lacks a wanted key
  repeated_key,     ///< a wanted key twice in one line: which one holds cannot be told
  bad_number,       ///< no number, or rubbish before or behind it
  not_finite,       ///< NaN or an infinity
  out_of_range,     ///< beyond the probe's lowest or highest temperature
};

inline constexpr std::size_t line_fault_kinds = 10;

/// The fault's name as logs, status and tests show it.
[[nodiscard]] std::string_view fault_name(LineFault fault);

/// How often each kind of fault was seen.
class FaultCounts {
 public:
  void add(LineFault fault) { ++counts_[static_cast<std::size_t>(fault)]; }
  [[nodiscard]] std::uint64_t of(LineFault fault) const {
    return counts_[static_cast<std::size_t>(fault)];
  }
  [[nodiscard]] std::uint64_t total() const;
  [[nodiscard]] bool operator==(const FaultCounts&) const = default;

 private:
  std::array<std::uint64_t, line_fault_kinds> counts_{};
};

/// A number as the device sent it, for one probe of the port.
struct Quantity {
  std::size_t channel = 0;  ///< index in the list of probes that the protocol was made with
  double value = 0.0;       ///< finite, in `unit`
  RawUnit unit = RawUnit::degC;
};

/// What a complete line turned out to be.
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
};

/// The way a device speaks. The outcome never depends on how the bytes were split.
class Protocol {
 public:
  virtual ~Protocol() = default;

  /// Takes bytes as they came; `stamp_us` is when the last of them arrived (bench axis).
  virtual void feed(std::span<const char> bytes, TimeUs stamp_us, ProtocolSink& sink) = 0;
  /// What to send to ask for the next readings; empty for devices that talk by themselves.
  [[nodiscard]] virtual std::string next_request() = 0;
  /// The line was opened anew: drops what is unfinished (a fault where a line was cut) and takes
  /// nothing before the first whole line.
  virtual void reset(ProtocolSink& sink) = 0;
};

}  // namespace nestcup::drivers
