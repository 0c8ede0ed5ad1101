#include "sim/firmware_text.hpp"

#include <fmt/format.h>

#include <cmath>

#include "core/base/numbers.hpp"
#include "sim/probe.hpp"

namespace nestcup::sim {

namespace {

constexpr std::string_view line_end = "\r\n";
/// A board has little memory: a longer request is forgotten.
constexpr std::size_t longest_request = 64;

/// A board without a last digit of its own still prints a fixed number of decimals.
std::string printed(double temperature_degC, double step_K) {
  if (step_K > 0.0) return reading_text(temperature_degC, step_K);
  return fmt::format("{:.6f}", temperature_degC);
}

}  // namespace

FirmwareText::FirmwareText(const Scenario& scenario) : board_(scenario.board) {
  for (const ProbeSettings& probe : scenario.probes) {
    names_.push_back(probe.name);
    steps_K_.push_back(probe.step_K);
  }
}

std::string FirmwareText::greeting() const {
  std::string text;
  for (const std::string& line : board_.banner) text += line + std::string(line_end);
  text += "# degC: ";
  if (board_.uptime_column) text += "uptime_ms" + board_.separator;
  text += fmt::format("{}", fmt::join(names_, board_.separator));
  return text + std::string(line_end);
}

std::string FirmwareText::data_line(const std::vector<double>& readings, double uptime_s) const {
  std::string line;
  if (board_.uptime_column) line = fmt::format("{:.0f}", std::floor(uptime_s * 1000.0));
  for (std::size_t i = 0; i < readings.size(); ++i) {
    if (!line.empty()) line += board_.separator;
    if (board_.keyed) line += names_[i] + "=";
    line += printed(readings[i], steps_K_[i]);
  }
  return line + std::string(line_end);
}

std::string FirmwareText::comment_line(double uptime_s) const {
  return fmt::format("# up for {:.0f} s{}", uptime_s, line_end);
}

int FirmwareText::requests_in(std::string_view bytes) {
  int count = 0;
  for (const char byte : bytes) {
    if (byte != '\n') {
      if (heard_.size() < longest_request) heard_ += byte;
      continue;
    }
    if (trimmed(heard_) == "R") ++count;
    heard_.clear();
  }
  return count;
}

}  // namespace nestcup::sim
