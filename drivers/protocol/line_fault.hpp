// What can be wrong with what a device sent, and how often it was.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <string_view>

namespace nestcup::drivers {

/// Each kind is counted on its own.
enum class LineFault : std::uint8_t {
  incomplete,       ///< the line or frame was cut by a hang-up, a reopening or a silence
  line_too_long,    ///< longer than the protocol allows; dropped up to the next terminator
  bad_byte,         ///< a byte that a text line cannot hold; poisons the whole line
  unexpected_text,  ///< words where data should be
  missing_column,   ///< the line has fewer columns than wanted
  missing_key,      ///< the line lacks a wanted key or name
  repeated_key,     ///< a wanted key twice in one line: which one holds cannot be told
  bad_number,       ///< no number, or rubbish before or behind it
  not_finite,       ///< NaN or an infinity
  out_of_range,     ///< beyond the probe's lowest or highest temperature, or its transducer's range
  bad_pack,         ///< no SenML pack
  wrong_unit,       ///< a unit that the probe's transducer does not take
  bad_checksum,     ///< a frame whose checksum does not hold
  wrong_device,     ///< a frame of another device than the one asked
  wrong_function,   ///< a frame that answers another question than the one asked
  wrong_length,     ///< a frame of another length than asked for
  foreign_bytes,    ///< bytes that belong to no frame
  refused,          ///< the device answered that it cannot (exception, error in its queue)
  no_probe,         ///< the number that the device sends where it has no probe
  no_reading,       ///< SCPI's "not a number"
  overload,         ///< SCPI's infinity: beyond what the device measures
  open_circuit,     ///< the transducer's wire is broken or off
  short_circuit,    ///< its wires touch
  no_cold_junction  ///< a thermocouple's voltage without a recent temperature of its cold junction
};

inline constexpr std::size_t line_fault_kinds = 24;

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

}  // namespace nestcup::drivers
