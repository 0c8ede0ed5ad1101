// Slaves of Modbus RTU on one line, answering functions 3 and 4 (MODBUS Application Protocol
// Specification V1.1b3, sections 6.3, 6.4 and 7; MODBUS over Serial Line V1.02).
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <utility>
#include <vector>

#include "sim/electronics.hpp"
#include "sim/firmware.hpp"

namespace nestcup::sim {

/// Every device address that a probe names is a slave with the registers of its probes and no
/// others: a request that touches one that is not there gets exception 2. Silent on a wrong CRC, on
/// other addresses and on broadcasts. A pseudo-terminal knows no silent interval of 3.5 characters;
/// so a request is told by its CRC, and bytes before one that make no request are passed over.
class FirmwareModbus final : public Firmware {
 public:
  explicit FirmwareModbus(const Scenario& scenario);

  /// The banner: a board may print one before its line is switched over.
  [[nodiscard]] std::string greeting() const override;
  /// Nothing: slaves speak only when asked.
  [[nodiscard]] std::string report(const Report& report) const override;
  [[nodiscard]] std::vector<Answer> hear(std::string_view bytes, const Measure& measure) override;

 private:
  using Registers = std::map<int, std::uint16_t>;

  /// Takes the next whole request with a right CRC from what was heard.
  [[nodiscard]] std::optional<std::string> next_request();
  /// The answer; empty where the standard wants silence.
  [[nodiscard]] std::string answer(std::string_view request, const Measure& measure) const;
  [[nodiscard]] bool has_device(int device) const;
  /// Whether a device has all registers of a range under a function.
  [[nodiscard]] bool has_registers(int device, int function, int first, int count) const;
  [[nodiscard]] Registers registers_now(int device, int function, const Report& report) const;

  BoardSettings board_;
  std::vector<Channel> channels_;
  std::string heard_;
};

}  // namespace nestcup::sim
