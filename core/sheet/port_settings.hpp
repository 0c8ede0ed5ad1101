// What a bench file says of a serial port and of the probes on it: plain checked values.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/base/reading.hpp"
#include "core/sheet/transducer_settings.hpp"

namespace nestcup {

enum class Decimal { point, comma };

/// A [[port]] of the bench file.
struct PortSettings {
  std::string name;
  std::string device;  ///< path; a lasting link such as /dev/serial/by-id/...
  int baud = 115200;   ///< Bd
  std::string protocol = "text";
  char separator = ',';  ///< text: ',' ';' '\t' or ' ' (any run of blanks)
  Decimal decimal = Decimal::point;
  std::string comment = "#";  ///< text: lines that begin with it are not data
  std::string request;        ///< text: sent to ask for a line; empty for boards that talk
  double settle_s = 2.0;      ///< after opening, what arrives is not yet taken
  double silence_s = 5.0;     ///< silent after it; the file's default is 3 intervals if more
};

/// A [[probe]] of the bench file.
struct ProbeSettings {
  std::string name;
  ProbeRole role = ProbeRole::cup;
  std::string port;                ///< name of its [[port]]
  std::optional<int> column;       ///< text: 1-based column; either this or `key`
  std::optional<std::string> key;  ///< text: the word before '=' or ':' in "T1=21.5"
  RawUnit unit = RawUnit::degC;
  double lowest_degC = -60.0;  ///< below it is a fault, never a reading
  double highest_degC = 160.0;
  std::optional<double> tolerance_K;  ///< of the probe as bought, K, > 0
};

}  // namespace nestcup
