// What a port's bytes become, collected for tests.
#pragma once

#include <memory>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

#include "drivers/port_decoder.hpp"

namespace nestcup::drivers::testing {

/// One reading as the decoder gave it.
struct Decoded {
  std::size_t probe = 0;
  TimeUs time_us = 0;
  double temperature_degC = 0.0;
  double raw = 0.0;
  [[nodiscard]] bool operator==(const Decoded&) const = default;
};

/// A probe that is found by its 1-based column.
inline ProbeSettings by_column(int column, RawUnit unit = RawUnit::degC) {
  ProbeSettings probe;
  probe.name = "c" + std::to_string(column);
  probe.channel.column = column;
  probe.channel.unit = unit;
  return probe;
}

/// A probe that is found by its key.
inline ProbeSettings by_key(const std::string& key) {
  ProbeSettings probe;
  probe.name = key;
  probe.channel.key = key;
  return probe;
}

/// A decoder with all that it has given.
class Decoding {
 public:
  Decoding(const PortSettings& port, std::vector<ProbeSettings> probes) {
    auto made = PortDecoder::make(
        port, std::move(probes),
        [this](std::size_t probe, TimeUs time_us, double temperature_degC, double raw) {
          readings.push_back({probe, time_us, temperature_degC, raw});
        },
        [this](std::string_view text) { remarks.emplace_back(text); });
    if (!made) throw std::runtime_error(made.error().text);
    decoder_ = std::move(made).value();
  }

  /// Lets the decoder forget the start, as after the first whole line.
  void begin() { feed("\n"); }
  void feed(std::string_view bytes, TimeUs stamp_us = 1000) { decoder_->feed(bytes, stamp_us); }
  [[nodiscard]] PortDecoder& decoder() { return *decoder_; }
  [[nodiscard]] const LineCounts& lines() const { return decoder_->lines(); }
  [[nodiscard]] const FaultCounts& faults(std::size_t probe) const {
    return decoder_->probes()[probe].faults;
  }

  std::vector<Decoded> readings;
  std::vector<std::string> remarks;  ///< what the device said of itself

 private:
  std::unique_ptr<PortDecoder> decoder_;
};

}  // namespace nestcup::drivers::testing
