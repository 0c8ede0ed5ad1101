// A polled device's protocol, asked and answered by hand.
#pragma once

#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "drivers/port_decoder.hpp"
#include "tests/drivers/decoding.hpp"

namespace nestcup::drivers::testing {

/// Bytes written as hexadecimal numbers: "01 04 02".
inline std::string bytes_of(std::string_view hex) {
  std::string bytes;
  std::string digits;
  for (const char c : hex) {
    if (c == ' ') continue;
    digits += c;
    if (digits.size() < 2) continue;
    bytes += static_cast<char>(std::stoi(digits, nullptr, 16));
    digits.clear();
  }
  return bytes;
}

/// A decoder that is asked by hand, with what it gave and said.
class Asking {
 public:
  Asking(const PortSettings& port, std::vector<ProbeSettings> probes)
      : decoding_(std::make_unique<Decoding>(port, std::move(probes))),
        decoder(&decoding_->decoder()),
        readings(decoding_->readings),
        remarks(decoding_->remarks) {
    decoder->reset();
  }

  /// The next question of the round, at `now_us`.
  std::string ask(TimeUs at_us = 0) {
    now_us = std::max(now_us + 1, at_us);
    return decoder->next_request(now_us);
  }
  void hear(std::string_view bytes) { decoder->feed(bytes, ++now_us); }
  void give_up() { decoder->give_up(++now_us); }
  /// The temperatures read so far.
  [[nodiscard]] std::vector<double> values() const {
    std::vector<double> found;
    for (const Decoded& reading : readings) found.push_back(reading.temperature_degC);
    return found;
  }
  [[nodiscard]] std::uint64_t line_faults(LineFault fault) const {
    return decoder->lines().faults.of(fault);
  }
  [[nodiscard]] std::uint64_t faults(std::size_t probe, LineFault fault) const {
    return decoder->probes()[probe].faults.of(fault);
  }

  TimeUs now_us = 0;

 private:
  std::unique_ptr<Decoding> decoding_;

 public:
  PortDecoder* decoder;
  std::vector<Decoded>& readings;
  std::vector<std::string>& remarks;
};

}  // namespace nestcup::drivers::testing
