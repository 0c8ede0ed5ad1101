#include "drivers/port_decoder.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "drivers/protocol/registry.hpp"

namespace nestcup::drivers {
namespace {

// A number that went through a 32-bit float on its way is still the number it stands for.
bool is_same_number(double a, double b) {
  return std::abs(a - b) <= 1e-6 * std::max(1.0, std::abs(b));
}

LineFault line_fault(TransducerFault fault) {
  switch (fault) {
    case TransducerFault::open_circuit:
      return LineFault::open_circuit;
    case TransducerFault::short_circuit:
      return LineFault::short_circuit;
    case TransducerFault::no_cold_junction:
      return LineFault::no_cold_junction;
    case TransducerFault::wrong_unit:
      return LineFault::wrong_unit;
    case TransducerFault::out_of_range:
      break;
  }
  return LineFault::out_of_range;
}

}  // namespace

Result<std::vector<PortDecoder::Channel>> PortDecoder::channels_of(
    const PortSettings& port, const std::vector<ProbeSettings>& probes) {
  std::vector<Channel> channels;
  std::optional<Error> wrong;
  const auto add = [&](const ChannelSettings& place, const TransducerSettings& settings,
                       std::size_t probe, bool is_cold) {
    auto transducer = Transducer::make(settings, place.unit);
    if (transducer) {
      channels.push_back({place, std::move(transducer).value(), probe, is_cold});
    } else if (!wrong) {
      wrong =
          Error{transducer.error().kind, fmt::format("port \"{}\": probe \"{}\": {}", port.name,
                                                     probes[probe].name, transducer.error().text)};
    }
  };
  for (std::size_t i = 0; i < probes.size(); ++i) {
    add(probes[i].channel, probes[i].transducer, i, false);
  }
  for (std::size_t i = 0; i < probes.size(); ++i) {
    if (const auto& cold = probes[i].cold) add(cold->channel, cold->transducer, i, true);
  }
  if (wrong) return *wrong;
  return channels;
}

Result<std::unique_ptr<PortDecoder>> PortDecoder::make(const PortSettings& port,
                                                       std::vector<ProbeSettings> probes,
                                                       OnReading on_reading, OnRemark on_remark) {
  auto channels = channels_of(port, probes);
  if (!channels) return channels.error();
  std::vector<ChannelSettings> places;
  for (const Channel& channel : *channels) places.push_back(channel.settings);
  auto protocol = make_protocol(port, places);
  if (!protocol) return protocol.error();
  return std::unique_ptr<PortDecoder>(
      new PortDecoder(std::move(channels).value(), std::move(probes), std::move(protocol).value(),
                      std::move(on_reading), std::move(on_remark)));
}

PortDecoder::PortDecoder(std::vector<Channel> channels, std::vector<ProbeSettings> probes,
                         std::unique_ptr<Protocol> protocol, OnReading on_reading,
                         OnRemark on_remark)
    : channels_(std::move(channels)),
      probes_(std::move(probes)),
      protocol_(std::move(protocol)),
      on_reading_(std::move(on_reading)),
      on_remark_(std::move(on_remark)),
      cold_(probes_.size()),
      counts_(probes_.size()) {}

void PortDecoder::feed(std::span<const char> bytes, TimeUs stamp_us) {
  late_ = false;
  protocol_->feed(bytes, stamp_us, *this);
}

void PortDecoder::feed_late(std::span<const char> bytes, TimeUs stamp_us) {
  late_ = true;
  protocol_->feed(bytes, stamp_us, *this);
}

void PortDecoder::reset() {
  late_ = false;
  held_.clear();
  protocol_->reset(*this);
}

void PortDecoder::give_up(TimeUs now_us) {
  late_ = false;
  held_.clear();
  protocol_->give_up(now_us, *this);
}

void PortDecoder::quantity(const Quantity& found, TimeUs stamp_us) {
  if (!late_) held_.push_back({found, stamp_us});
}

void PortDecoder::fault(LineFault kind, std::optional<std::size_t> channel) {
  if (late_) return;
  (channel ? counts_[channels_[*channel].probe].faults : lines_.faults).add(kind);
}

void PortDecoder::remark(std::string_view text) {
  if (on_remark_) on_remark_(text);
}

void PortDecoder::line(LineKind kind, TimeUs) {
  convert_held(true);
  convert_held(false);
  held_.clear();
  switch (kind) {
    case LineKind::data:
      ++(late_ ? lines_.late : lines_.data);
      break;
    case LineKind::faulty:
      ++(late_ ? lines_.late : lines_.faulty);
      break;
    case LineKind::header:
      ++lines_.headers;
      break;
    case LineKind::comment:
      ++lines_.comments;
      break;
    case LineKind::empty:
      ++lines_.empty;
      break;
    case LineKind::first:
      ++lines_.first;
      break;
  }
}

void PortDecoder::convert_held(bool cold) {
  for (const Held& held : held_) {
    if (channels_[held.quantity.channel].is_cold == cold) convert(held.quantity, held.stamp_us);
  }
}

void PortDecoder::convert(const Quantity& found, TimeUs stamp_us) {
  const Channel& channel = channels_[found.channel];
  const ChannelSettings& place = channel.settings;
  ProbeCounts& counts = counts_[channel.probe];
  const bool is_no_probe =
      std::any_of(place.no_probe.begin(), place.no_probe.end(),
                  [&](double number) { return is_same_number(found.value, number); });
  if (is_no_probe) return counts.faults.add(LineFault::no_probe);
  const double raw = found.value * place.scale + place.offset;
  const auto cold = channel.is_cold ? std::nullopt : cold_degC(channel.probe, stamp_us);
  const Conversion converted = channel.transducer.to_degC(raw, cold);
  if (const auto* fault = std::get_if<TransducerFault>(&converted)) {
    return counts.faults.add(line_fault(*fault));
  }
  const double temperature_degC = std::get<double>(converted);
  if (channel.is_cold) {
    cold_[channel.probe] = {temperature_degC, stamp_us};
  } else {
    take(channel.probe, temperature_degC, raw, stamp_us);
  }
}

std::optional<double> PortDecoder::cold_degC(std::size_t probe, TimeUs stamp_us) const {
  const auto& cold = cold_[probe];
  if (!cold || stamp_us - cold->stamp_us > to_us(cold_junction_holds_s)) return std::nullopt;
  return cold->degC;
}

void PortDecoder::take(std::size_t index, double temperature_degC, double raw, TimeUs stamp_us) {
  const ProbeSettings& probe = probes_[index];
  ProbeCounts& counts = counts_[index];
  // Written so that what is no number fails too.
  if (!(temperature_degC >= probe.lowest_degC && temperature_degC <= probe.highest_degC)) {
    return counts.faults.add(LineFault::out_of_range);
  }
  const TimeUs time_us = counts.last_us ? std::max(stamp_us, *counts.last_us + 1) : stamp_us;
  ++counts.readings;
  if (counts.last_raw != raw) counts.same_since_us = time_us;
  counts.last_us = time_us;
  counts.last_degC = temperature_degC;
  counts.last_raw = raw;
  on_reading_(index, time_us, temperature_degC, raw);
}

}  // namespace nestcup::drivers
