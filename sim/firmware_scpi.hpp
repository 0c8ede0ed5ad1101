// A bench thermometer that speaks SCPI-99 over IEEE 488.2's syntax.
#pragma once

#include <deque>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "sim/electronics.hpp"
#include "sim/firmware.hpp"
#include "sim/scpi_message.hpp"

namespace nestcup::sim {

/// Knows *IDN?, *RST, *CLS, *OPC?, *TST?, MEASure[:SCALar]:TEMPerature?, :RESistance? and
/// :VOLTage? (each for channels that send such a thing), READ?, FETCh?, SYSTem:ERRor[:NEXT]? and
/// SYSTem:VERSion?; of the status registers that IEEE 488.2 asks for it has none. Numbers are NR3;
/// 9.91E37 is no reading (not a number), 9.9E37 overload (SCPI-99, volume 1, 7.2.1.4 and 7.2.1.5).
/// What is wrong with a message goes into the error queue, and nothing is answered to it.
class FirmwareScpi final : public Firmware {
 public:
  explicit FirmwareScpi(const Scenario& scenario);

  /// The banner.
  [[nodiscard]] std::string greeting() const override;
  /// Nothing: an instrument speaks only when asked.
  [[nodiscard]] std::string report(const Report& report) const override;
  /// Answers of one message are joined by semicolons in one line.
  [[nodiscard]] std::vector<Answer> hear(std::string_view bytes, const Measure& measure) override;

 private:
  enum class Quantity : std::uint8_t { any, temperature, resistance, voltage };

  /// The answer to one command; nothing for one that has none.
  [[nodiscard]] std::optional<std::string> obey(const ScpiUnit& unit, const Measure& measure);
  [[nodiscard]] std::optional<std::string> obey_common(const ScpiUnit& unit);
  [[nodiscard]] std::optional<std::string> measure_some(const ScpiUnit& unit, Quantity quantity,
                                                        const Measure& measure);
  [[nodiscard]] std::string values(const std::vector<int>& channels) const;
  [[nodiscard]] std::string next_error();
  void complain(int number, std::string_view text);

  BoardSettings board_;
  std::string name_;
  std::vector<Channel> channels_;
  LineEar ear_;
  std::deque<std::string> errors_;
  std::optional<Report> last_;
};

}  // namespace nestcup::sim
