#include "sim/firmware_senml.hpp"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "core/base/numbers.hpp"

namespace nestcup::sim {

namespace {

/// A text as JSON, in quotes.
std::string json_text(std::string_view text) {
  return nlohmann::json(text).dump(-1, ' ', true, nlohmann::json::error_handler_t::replace);
}

}  // namespace

std::string_view senml_unit(RawUnit unit) {
  switch (unit) {
    case RawUnit::degC:
      return "Cel";
    case RawUnit::kelvin:
      return "K";
    case RawUnit::ohm:
      return "Ohm";
    case RawUnit::volt:
      return "V";
    case RawUnit::ratio:
      return "/";
    case RawUnit::count:
      return "count";
    case RawUnit::degF:
    case RawUnit::millivolt:
    case RawUnit::microvolt:
      break;
  }
  return "";
}

FirmwareSenml::FirmwareSenml(const Scenario& scenario)
    : board_(scenario.board), channels_(channels_of(scenario)), ear_(longest_request) {}

std::string FirmwareSenml::greeting() const {
  return joined_lines(board_.banner, "\n");
}

std::string FirmwareSenml::value_field(const Measured& measured, const Channel& channel) const {
  if (measured.found == Found::value) {
    // The sum of base value and value must come out with the channel's own digits.
    const double value = measured.value - board_.base_value.value_or(0.0);
    return fmt::format("\"v\":{:.{}f}", value, channel.decimals);
  }
  if (const auto sentinel = parse_number(board_.no_reading)) {
    return "\"v\":" + number_text(*sentinel);
  }
  return "\"vs\":" + json_text(board_.no_reading);
}

std::string FirmwareSenml::report(const Report& report) const {
  const RawUnit base_unit = channels_.front().unit;
  std::string pack = fmt::format("[{{\"bn\":{},", json_text(board_.base_name));
  if (board_.clock_s) pack += fmt::format("\"bt\":{:.3f},", *board_.clock_s + report.at_s);
  pack += fmt::format("\"bu\":{},", json_text(senml_unit(base_unit)));
  if (board_.base_value) pack += fmt::format("\"bv\":{},", number_text(*board_.base_value));
  if (board_.version) pack += fmt::format("\"bver\":{},", *board_.version);
  for (std::size_t i = 0; i < report.channels.size(); ++i) {
    const Channel& channel = channels_[i];
    if (i > 0) pack += ",{";
    pack += fmt::format("\"n\":{},", json_text(channel.name));
    if (channel.unit != base_unit) {
      pack += fmt::format("\"u\":{},", json_text(senml_unit(channel.unit)));
    }
    pack += value_field(report.channels[i], channel) + "}";
  }
  return pack + "]\n";
}

std::vector<Answer> FirmwareSenml::hear(std::string_view bytes, const Measure& measure) {
  std::vector<Answer> answers;
  for (const std::string& request : ear_.hear(bytes)) {
    if (request == "R") answers.push_back({report(measure()), request});
  }
  return answers;
}

}  // namespace nestcup::sim
