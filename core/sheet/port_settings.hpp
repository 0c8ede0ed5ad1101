// What a bench file says of a serial port and of the probes on it: plain checked values.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/base/reading.hpp"
#include "core/sheet/transducer_settings.hpp"

namespace nestcup {

enum class Decimal { point, comma };
enum class Parity : std::uint8_t { none, even, odd };

/// What becomes of a modem line when a port has been opened.
enum class ModemLine : std::uint8_t { leave, on, off };

/// How a serial line is set up.
struct LineMode {
  int baud = 115200;        ///< Bd
  bool allow_1200 = false;  ///< 1200 Bd is no speed but a command to many boards
  Parity parity = Parity::none;
  int stop_bits = 1;  ///< 1 or 2
  ModemLine dtr = ModemLine::leave;
  ModemLine rts = ModemLine::leave;
};

/// A [[port]] of the bench file.
struct PortSettings {
  std::string name;
  std::string device;  ///< path; a lasting link such as /dev/serial/by-id/...
  LineMode mode{};
  std::string protocol = "text";
  char separator = ',';  ///< text: ',' ';' '\t' or ' ' (any run of blanks)
  Decimal decimal = Decimal::point;
  std::string comment = "#";       ///< text: lines that begin with it are not data
  std::string request;             ///< text: sent to ask for a line; empty for boards that talk
  std::vector<std::string> setup;  ///< scpi: sent once after opening, each as a line
  double answer_s = 2.0;           ///< polled: how long an answer may take
  double settle_s = 2.0;           ///< after opening, what arrives is not yet taken
  double silence_s = 5.0;          ///< silent after it; the file's default is 3 intervals if more
};

/// How a Modbus register holds a number.
enum class RegisterFormat : std::uint8_t { int16, uint16, int32, uint32, float32 };

/// In which order the four bytes A (highest) to D of a 32-bit number come on the line.
enum class WordOrder : std::uint8_t { ABCD, CDAB, BADC, DCBA };

/// Where a Modbus device keeps a quantity.
struct RegisterPlace {
  int device = 1;    ///< its address on the line, 1 to 247
  int function = 4;  ///< 3: holding registers, 4: input registers
  int first = 0;     ///< number of the (first) register as it goes over the line, 0 to 65535
  RegisterFormat format = RegisterFormat::int16;
  WordOrder order = WordOrder::ABCD;
};

/// Where a port's device puts one quantity, and what it is.
struct ChannelSettings {
  std::string name;                        ///< for messages: its probe's, or "cold junction of cup"
  std::optional<int> column;               ///< text, scpi: 1-based column
  std::optional<std::string> key;          ///< text: the word before '=' or ':'; senml: the name
  std::optional<RegisterPlace> registers;  ///< modbus-rtu
  std::string query;                       ///< scpi: what asks for it
  RawUnit unit = RawUnit::degC;
  double scale = 1.0;              ///< quantity = number sent * scale + offset
  double offset = 0.0;             ///< in `unit`
  std::vector<double> no_probe{};  ///< numbers that the device sends where it has no probe
};

/// Another channel of the same port that tells how warm a thermocouple's cold junction is.
struct ColdChannel {
  ChannelSettings channel;
  TransducerSettings transducer;
};

/// A [[probe]] of the bench file.
struct ProbeSettings {
  std::string name;
  ProbeRole role = ProbeRole::cup;
  std::string port;  ///< name of its [[port]]
  ChannelSettings channel;
  TransducerSettings transducer;
  std::optional<ColdChannel> cold{};  ///< of a thermocouple without a fixed cold junction
  double lowest_degC = -60.0;         ///< below it is a fault, never a reading
  double highest_degC = 160.0;
  std::optional<double> tolerance_K;  ///< of the probe as bought, K, > 0
};

}  // namespace nestcup
