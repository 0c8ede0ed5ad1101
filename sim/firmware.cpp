#include "sim/firmware.hpp"

#include "core/base/numbers.hpp"
#include "sim/firmware_modbus.hpp"
#include "sim/firmware_scpi.hpp"
#include "sim/firmware_senml.hpp"
#include "sim/firmware_text.hpp"

namespace nestcup::sim {

std::string Firmware::remark(double /*uptime_s*/) const {
  return {};
}

std::unique_ptr<Firmware> make_firmware(const Scenario& scenario) {
  switch (scenario.board.protocol) {
    case Protocol::senml:
      return std::make_unique<FirmwareSenml>(scenario);
    case Protocol::modbus_rtu:
      return std::make_unique<FirmwareModbus>(scenario);
    case Protocol::scpi:
      return std::make_unique<FirmwareScpi>(scenario);
    case Protocol::text:
      break;
  }
  return std::make_unique<FirmwareText>(scenario);
}

std::string joined_lines(const std::vector<std::string>& lines, std::string_view line_end) {
  std::string text;
  for (const std::string& line : lines) {
    text += line;
    text += line_end;
  }
  return text;
}

std::vector<std::string> LineEar::hear(std::string_view bytes) {
  std::vector<std::string> lines;
  for (const char byte : bytes) {
    if (byte != '\n') {
      if (heard_.size() < longest_) heard_ += byte;
      continue;
    }
    lines.emplace_back(trimmed(heard_));
    heard_.clear();
  }
  return lines;
}

}  // namespace nestcup::sim
