// A board's program on the table: made-up measurements in, answers out.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "sim/firmware.hpp"

namespace nestcup::sim {

/// A scenario with the probes "cup" (two decimals) and "room" (one).
inline Scenario two_probes() {
  Scenario scenario;
  ProbeSettings probe;
  probe.name = "cup";
  scenario.probes.push_back(probe);
  probe.name = "room";
  probe.step_K = 0.1;
  scenario.probes.push_back(probe);
  return scenario;
}

/// Measurements with these values.
inline Report values(const std::vector<double>& numbers) {
  Report report;
  for (const double number : numbers) report.channels.push_back({number});
  return report;
}

/// A firmware that is asked, and finds the same measurements every time.
class Asked {
 public:
  Asked(Firmware& firmware, const std::vector<double>& numbers)
      : firmware_(firmware), report_(values(numbers)) {}

  /// All answers to these bytes.
  [[nodiscard]] std::string with(std::string_view bytes) {
    std::string answers;
    for (const Answer& answer : firmware_.hear(bytes, [this] { return measure(); })) {
      answers += answer.bytes;
    }
    return answers;
  }
  [[nodiscard]] int measurements() const { return measurements_; }
  [[nodiscard]] Report& report() { return report_; }

 private:
  Report measure() {
    ++measurements_;
    return report_;
  }

  Firmware& firmware_;
  Report report_;
  int measurements_ = 0;
};

/// The bytes of a text such as "11 03 00".
inline std::string bytes_of(std::string_view hex) {
  const auto digit = [](char letter) {
    return letter <= '9' ? letter - '0' : (letter | 0x20) - 'a' + 10;
  };
  std::string bytes;
  for (std::size_t i = 0; i + 1 < hex.size(); i += hex[i] == ' ' ? 1 : 2) {
    if (hex[i] == ' ') continue;
    bytes += static_cast<char>(digit(hex[i]) * 16 + digit(hex[i + 1]));
  }
  return bytes;
}

/// Bytes as text, two digits each and a blank between.
inline std::string hex_of(std::string_view bytes) {
  constexpr std::string_view digits = "0123456789ABCDEF";
  std::string hex;
  for (const char byte : bytes) {
    const auto value = static_cast<unsigned char>(byte);
    if (!hex.empty()) hex += ' ';
    hex += digits[value / 16];
    hex += digits[value % 16];
  }
  return hex;
}

}  // namespace nestcup::sim
