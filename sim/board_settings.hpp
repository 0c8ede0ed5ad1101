// How a simulated board speaks and what can go wrong on its line: plain checked values.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace nestcup::sim {

/// What a board speaks.
enum class Protocol : std::uint8_t { text, senml, modbus_rtu, scpi };
/// The protocols as scenario files spell them, in the order of Protocol.
inline constexpr std::array<std::string_view, 4> protocol_names{"text", "senml", "modbus-rtu",
                                                                "scpi"};
[[nodiscard]] constexpr std::string_view protocol_name(Protocol protocol) {
  return protocol_names[static_cast<std::size_t>(protocol)];
}

/// How a number lies in registers of 16 bits.
enum class NumberFormat : std::uint8_t { int16, uint16, int32, uint32, float32 };
/// The order of a 32-bit number's bytes on the line; A is the highest.
enum class WordOrder : std::uint8_t { ABCD, CDAB, BADC, DCBA };

/// Where and how a Modbus device keeps a probe's value: number = (value - offset) / scale, whole
/// numbers rounded.
struct RegisterSettings {
  int device = 1;    ///< its address on the line, 1 to 247
  int function = 4;  ///< 3: a holding register, 4: an input register
  int first = 0;     ///< the first (or only) register, counted from 0 as on the line
  NumberFormat format = NumberFormat::float32;
  WordOrder order = WordOrder::ABCD;
  double scale = 1.0;  ///< not 0
  double offset = 0.0;
};

/// How the board speaks.
struct BoardSettings {
  Protocol protocol = Protocol::text;
  std::vector<std::string> banner;  ///< lines sent when the board starts
  bool reset_on_open = true;        ///< opening the port starts the board anew
  double boot_s = 1.5;              ///< its silence after that
  int boot_junk = 0;                ///< rubbish bytes at the moment of the reset
  bool polled = false;              ///< speaks only when asked
  bool echo = false;                ///< sends back what it hears, as some RS-485 adapters do
  double answer_delay_s = 0.0;      ///< from a question to its answer
  /// text, SenML: what stands in place of a value that there is not; a number is sent as one.
  std::string no_reading = "nan";

  std::string separator = ",";   ///< text: between columns
  bool keyed = false;            ///< text: name=value instead of bare columns
  bool uptime_column = false;    ///< text: the first column is the board's milliseconds
  double comment_every_s = 0.0;  ///< text: a comment line now and then; 0 for none

  std::string base_name = "urn:dev:org:32473-simbench:";  ///< SenML: `bn`
  std::optional<double> clock_s{};  ///< SenML: the board's clock (s) at scenario time 0, for `bt`
  std::optional<double> base_value{};  ///< SenML: `bv`
  std::optional<int> version{};        ///< SenML: `bver`
};

/// What can go wrong on the line; fault_kinds.hpp says what each does.
enum class LineFaultKind : std::uint8_t {
  delay,
  cut,
  corrupt,
  stall,
  freeze,
  garbage,
  flood,
  unplug,
  doubled,
  nul,
  wrong_baud,
  endless,
  foreign,
  late,
  asleep,
  hang_up,
  checksum,
  address,
  function,
  exception,
};

/// A fault of the line at a given time.
struct LineFault {
  double at_s = 0.0;
  LineFaultKind kind = LineFaultKind::stall;
  double for_s = 0.0;        ///< how long (s); unplug and hang-up: 0 for ever
  double delay_s = 0.0;      ///< delay, late, hang-up (s)
  int count = 1;             ///< frames, bytes or copies
  int code = 4;              ///< exception: its code
  double baud_ratio = 12.0;  ///< wrong-baud: the listener's bit rate over the board's
  double rate_Bd = 0.0;      ///< flood: the bit rate at which the copies come; 0: all at once
};

}  // namespace nestcup::sim
