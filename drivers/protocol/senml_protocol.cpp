#include "drivers/protocol/senml_protocol.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <utility>

#include "core/base/numbers.hpp"

namespace nestcup::drivers {
namespace {

// Further back than any buffer of a board: such a time is wrong, not old.
constexpr double oldest_s = 3600.0;

std::optional<RawUnit> unit_of(std::string_view symbol) {
  // Symbols of the SenML units registry (RFC 8428, section 12.1; RFC 8798 for mV).
  constexpr std::array<std::pair<std::string_view, RawUnit>, 6> units{{{"Cel", RawUnit::degC},
                                                                       {"K", RawUnit::kelvin},
                                                                       {"Ohm", RawUnit::ohm},
                                                                       {"V", RawUnit::volt},
                                                                       {"mV", RawUnit::millivolt},
                                                                       {"/", RawUnit::ratio}}};
  for (const auto& [name, unit] : units) {
    if (name == symbol) return unit;
  }
  return std::nullopt;
}

// When the newest of these records was measured, on the axis of their own times.
double newest_s(const std::vector<SenmlRecord>& records) {
  double newest = records.front().time_s;
  for (const SenmlRecord& record : records) newest = std::max(newest, record.time_s);
  return newest;
}

bool is_called(const SenmlRecord& record, std::string_view name) {
  if (record.name == name) return true;
  return std::string_view(record.name).substr(record.base_length) == name;
}

}  // namespace

Result<std::unique_ptr<Protocol>> SenmlProtocol::make(
    const PortSettings& port, const std::vector<ChannelSettings>& channels) {
  for (const auto& channel : channels) {
    if (channel.key && !channel.key->empty()) continue;
    return Error{Fault::bad_configuration,
                 fmt::format("port \"{}\": probe \"{}\" needs `key`, the name of its records",
                             port.name, channel.name)};
  }
  return std::unique_ptr<Protocol>(new SenmlProtocol(port, channels));
}

SenmlProtocol::SenmlProtocol(const PortSettings& port, const std::vector<ChannelSettings>& channels)
    : LineProtocol(port.request, port.answer_s, longest_senml_line) {
  for (const auto& channel : channels) wanted_.push_back({*channel.key, channel.unit});
}

LineKind SenmlProtocol::take_line(const TextLine& line, TimeUs stamp_us, ProtocolSink& sink) {
  if (line.first) return LineKind::first;
  const auto faulty = [&](LineFault fault) {
    sink.fault(fault, std::nullopt);
    return LineKind::faulty;
  };
  // Names of other channels may be in UTF-8, hence bytes above 0x7E are JSON's to judge.
  if (line.too_long) return faulty(LineFault::line_too_long);
  const std::string_view text = trimmed(line.text);
  if (text.empty()) return LineKind::empty;
  if (is_letter(text.front()) || text.front() == '#') return LineKind::header;
  const auto pack = read_senml_pack(text);
  if (const auto* fault = std::get_if<LineFault>(&pack)) {
    return faulty(line.bad_byte ? LineFault::bad_byte : *fault);
  }
  return take_pack(std::get<std::vector<SenmlRecord>>(pack), stamp_us, sink);
}

LineKind SenmlProtocol::take_pack(const std::vector<SenmlRecord>& records, TimeUs stamp_us,
                                  ProtocolSink& sink) {
  bool good = false, told = false;
  for (std::size_t channel = 0; channel < wanted_.size(); ++channel) {
    std::vector<SenmlRecord> ours;
    std::copy_if(
        records.begin(), records.end(), std::back_inserter(ours),
        [&](const SenmlRecord& record) { return is_called(record, wanted_[channel].name); });
    std::stable_sort(ours.begin(), ours.end(), [](const SenmlRecord& a, const SenmlRecord& b) {
      return a.time_s < b.time_s;
    });
    for (const SenmlRecord& record : ours) {
      const double now_s = record.is_relative() ? 0.0 : newest_s(records);
      const double age_s = now_s - record.time_s;
      const bool is_old = !(age_s <= oldest_s) || age_s < -1.0;
      const TimeUs when_us = stamp_us - to_us(std::max(0.0, is_old ? 0.0 : age_s));
      told = true;
      if (is_old) {
        sink.fault(LineFault::bad_pack, channel);
      } else {
        good = take_record(record, channel, when_us, sink) || good;
      }
    }
  }
  if (!told) sink.fault(LineFault::missing_key, std::nullopt);
  return good ? LineKind::data : LineKind::faulty;
}

bool SenmlProtocol::take_record(const SenmlRecord& record, std::size_t channel, TimeUs stamp_us,
                                ProtocolSink& sink) const {
  const auto unit =
      record.unit.empty() ? std::optional(wanted_[channel].unit) : unit_of(record.unit);
  if (!record.value || unit != wanted_[channel].unit) {
    sink.fault(record.value ? LineFault::wrong_unit : LineFault::bad_number, channel);
    return false;
  }
  sink.quantity({channel, *record.value}, stamp_us);
  return true;
}

}  // namespace nestcup::drivers
