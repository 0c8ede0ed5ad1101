#include "sim/firmware_scpi.hpp"

#include <fmt/format.h>

namespace nestcup::sim {

namespace {

constexpr std::size_t longest_message = 256;
constexpr std::size_t most_errors = 10;
constexpr double not_a_number = 9.91e37;
constexpr double overload = 9.9e37;

/// NR3 (IEEE 488.2, 8.7.4): a mantissa with a point, and an exponent.
std::string nr3(double value) {
  return fmt::format("{:+.8E}", value);
}

std::string number_of(const Measured& measured) {
  switch (measured.found) {
    case Found::nothing:
      return nr3(not_a_number);
    case Found::overload:
      return nr3(overload);
    case Found::value:
      break;
  }
  return nr3(measured.value);
}

}  // namespace

FirmwareScpi::FirmwareScpi(const Scenario& scenario)
    : board_(scenario.board),
      name_(scenario.name),
      channels_(channels_of(scenario)),
      ear_(longest_message) {}

std::string FirmwareScpi::greeting() const {
  return joined_lines(board_.banner, "\r\n");
}

std::string FirmwareScpi::report(const Report& /*report*/) const {
  return {};
}

std::vector<Answer> FirmwareScpi::hear(std::string_view bytes, const Measure& measure) {
  std::vector<Answer> answers;
  for (const std::string& message : ear_.hear(bytes)) {
    std::string line;
    for (const ScpiUnit& unit : scpi_units(message)) {
      const auto answer = obey(unit, measure);
      if (!answer) continue;
      if (!line.empty()) line += ';';
      line += *answer;
    }
    if (!line.empty()) answers.push_back({line + "\n", message});
  }
  return answers;
}

std::optional<std::string> FirmwareScpi::obey(const ScpiUnit& unit, const Measure& measure) {
  const auto is = [&unit](std::string_view pattern) { return scpi_matches(unit.header, pattern); };
  if (is("MEASure[:SCALar]:TEMPerature?")) {
    return measure_some(unit, Quantity::temperature, measure);
  }
  if (is("MEASure[:SCALar]:RESistance?")) return measure_some(unit, Quantity::resistance, measure);
  if (is("MEASure[:SCALar]:VOLTage[:DC]?")) return measure_some(unit, Quantity::voltage, measure);
  if (!unit.parameters.empty()) {
    complain(-108, "Parameter not allowed");
    return std::nullopt;
  }
  if (unit.header.starts_with('*')) return obey_common(unit);
  if (is("READ?")) return measure_some(unit, Quantity::any, measure);
  if (is("FETCh?")) {
    if (last_) return values(*scpi_channels("", static_cast<int>(channels_.size())));
    complain(-230, "Data corrupt or stale");
    return std::nullopt;
  }
  if (is("SYSTem:ERRor[:NEXT]?")) return next_error();
  if (is("SYSTem:VERSion?")) return "1999.0";
  complain(-113, "Undefined header");
  return std::nullopt;
}

std::optional<std::string> FirmwareScpi::obey_common(const ScpiUnit& unit) {
  const auto is = [&unit](std::string_view pattern) { return scpi_matches(unit.header, pattern); };
  if (is("*IDN?")) return fmt::format("NESTCUP,SIMULATED THERMOMETER,{},1.0", name_);
  if (is("*CLS")) {
    errors_.clear();
  } else if (is("*RST")) {
    last_.reset();
  } else if (is("*OPC?")) {
    return "1";
  } else if (is("*TST?")) {
    return "0";
  } else {
    complain(-113, "Undefined header");
  }
  return std::nullopt;
}

std::optional<std::string> FirmwareScpi::measure_some(const ScpiUnit& unit, Quantity quantity,
                                                      const Measure& measure) {
  const int count = static_cast<int>(channels_.size());
  const auto asked = scpi_channels(unit.parameters, count);
  if (!asked) {
    complain(-104, "Data type error");
    return std::nullopt;
  }
  for (const int channel : *asked) {
    if (channel < 1 || channel > count) {
      complain(-222, "Data out of range");
      return std::nullopt;
    }
    const RawUnit sent = channels_[static_cast<std::size_t>(channel - 1)].unit;
    const bool fits = quantity == Quantity::any ||
                      (quantity == Quantity::temperature && is_temperature(sent)) ||
                      (quantity == Quantity::resistance && sent == RawUnit::ohm) ||
                      (quantity == Quantity::voltage && sent == RawUnit::volt);
    if (!fits) {
      complain(-221, "Settings conflict");
      return std::nullopt;
    }
  }
  last_ = measure();
  return values(*asked);
}

std::string FirmwareScpi::values(const std::vector<int>& channels) const {
  std::string text;
  for (const int channel : channels) {
    if (!text.empty()) text += ',';
    text += number_of(last_->channels[static_cast<std::size_t>(channel - 1)]);
  }
  return text;
}

std::string FirmwareScpi::next_error() {
  if (errors_.empty()) return "0,\"No error\"";
  std::string first = std::move(errors_.front());
  errors_.pop_front();
  return first;
}

void FirmwareScpi::complain(int number, std::string_view text) {
  // SCPI-99, volume 2, 21.8: where the queue is full, its last entry says so.
  if (errors_.size() < most_errors) {
    errors_.push_back(fmt::format("{},\"{}\"", number, text));
  } else {
    errors_.back() = "-350,\"Queue overflow\"";
  }
}

}  // namespace nestcup::sim
