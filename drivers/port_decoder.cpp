#include "drivers/port_decoder.hpp"

#include <algorithm>
#include <utility>

#include "drivers/protocol/registry.hpp"
#include "drivers/transducer/temperature.hpp"

namespace nestcup::drivers {

Result<std::unique_ptr<PortDecoder>> PortDecoder::make(const PortSettings& port,
                                                       std::vector<ProbeSettings> probes,
                                                       OnReading on_reading) {
  auto protocol = make_protocol(port, probes);
  if (!protocol) return protocol.error();
  return std::unique_ptr<PortDecoder>(
      new PortDecoder(std::move(protocol).value(), std::move(probes), std::move(on_reading)));
}

PortDecoder::PortDecoder(std::unique_ptr<Protocol> protocol, std::vector<ProbeSettings> probes,
                         OnReading on_reading)
    : protocol_(std::move(protocol)),
      probes_(std::move(probes)),
      on_reading_(std::move(on_reading)),
      counts_(probes_.size()) {}

void PortDecoder::feed(std::span<const char> bytes, TimeUs stamp_us) {
  late_ = false;
  protocol_->feed(bytes, stamp_us, *this);
}

void PortDecoder::feed_late(std::span<const char> bytes, TimeUs stamp_us) {
  late_ = true;
  protocol_->feed(bytes, stamp_us, *this);
}

void PortDecoder::quantity(const Quantity& found, TimeUs stamp_us) {
  if (late_) return;
  const ProbeSettings& probe = probes_[found.channel];
  ProbeCounts& counts = counts_[found.channel];
  const double temperature_degC = to_degC(found.value, found.unit);
  // Written so that what is no number fails too.
  if (!(temperature_degC >= probe.lowest_degC && temperature_degC <= probe.highest_degC)) {
    counts.faults.add(LineFault::out_of_range);
    return;
  }
  const TimeUs time_us = counts.last_us ? std::max(stamp_us, *counts.last_us + 1) : stamp_us;
  ++counts.readings;
  counts.last_us = time_us;
  counts.last_degC = temperature_degC;
  on_reading_(found.channel, time_us, temperature_degC, found.value);
}

void PortDecoder::fault(LineFault kind, std::optional<std::size_t> channel) {
  if (late_) return;
  (channel ? counts_[*channel].faults : lines_.faults).add(kind);
}

void PortDecoder::line(LineKind kind, TimeUs) {
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

}  // namespace nestcup::drivers
