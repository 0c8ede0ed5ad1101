#include "sim/firmware_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace nestcup::sim {

namespace {

constexpr std::string_view line_end = "\r\n";
/// A board has little memory: a longer request is forgotten.

}  // namespace

FirmwareText::FirmwareText(const Scenario& scenario)
    : board_(scenario.board), channels_(channels_of(scenario)), ear_(longest_request) {}

std::string FirmwareText::greeting() const {
  const RawUnit unit = channels_.front().unit;
  const bool one_unit = std::all_of(channels_.begin(), channels_.end(),
                                    [unit](const Channel& each) { return each.unit == unit; });
  std::string heading = one_unit ? fmt::format("# {}: ", unit_name(unit)) : "# ";
  if (board_.uptime_column) heading += "uptime_ms" + board_.separator;
  for (std::size_t i = 0; i < channels_.size(); ++i) {
    if (i > 0) heading += board_.separator;
    heading += channels_[i].name;
    if (!one_unit) heading += fmt::format("_{}", unit_name(channels_[i].unit));
  }
  return joined_lines(board_.banner, line_end) + heading + std::string(line_end);
}

std::string FirmwareText::report(const Report& report) const {
  std::string line;
  if (board_.uptime_column) line = fmt::format("{:.0f}", std::floor(report.uptime_s * 1000.0));
  for (std::size_t i = 0; i < report.channels.size(); ++i) {
    if (!line.empty()) line += board_.separator;
    if (board_.keyed) line += channels_[i].name + "=";
    const Measured& measured = report.channels[i];
    line += measured.found == Found::value
                ? fmt::format("{:.{}f}", measured.value, channels_[i].decimals)
                : board_.no_reading;
  }
  return line + std::string(line_end);
}

std::string FirmwareText::remark(double uptime_s) const {
  return fmt::format("# up for {:.0f} s{}", uptime_s, line_end);
}

std::vector<Answer> FirmwareText::hear(std::string_view bytes, const Measure& measure) {
  std::vector<Answer> answers;
  for (const std::string& request : ear_.hear(bytes)) {
    if (request == "R") answers.push_back({report(measure()), request});
  }
  return answers;
}

}  // namespace nestcup::sim
