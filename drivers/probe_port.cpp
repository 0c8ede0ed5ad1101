#include "drivers/probe_port.hpp"

#include <algorithm>
#include <utility>

namespace nestcup::drivers {

Result<std::unique_ptr<ProbePort>> ProbePort::make(boost::asio::io_context& context,
                                                   const Clock& clock, const PortSettings& port,
                                                   std::vector<ProbeSettings> probes,
                                                   PortHandlers handlers) {
  auto decoder = PortDecoder::make(port, std::move(probes), handlers.on_reading);
  if (!decoder) return decoder.error();
  return std::unique_ptr<ProbePort>(
      new ProbePort(context, clock, port, std::move(decoder).value(), std::move(handlers)));
}

ProbePort::ProbePort(boost::asio::io_context& context, const Clock& clock, PortSettings port,
                     std::unique_ptr<PortDecoder> decoder, PortHandlers handlers)
    : clock_(clock),
      settings_(std::move(port)),
      decoder_(std::move(decoder)),
      handlers_(std::move(handlers)),
      line_(context, clock, settings_, line_handlers()) {}

LineHandlers ProbePort::line_handlers() {
  return {
      [this] {
        decoder_->reset();
        asked_us_.reset();
        answered_ = true;
      },
      [this](std::span<const char> bytes, TimeUs stamp_us) { take(bytes, stamp_us); },
      [this](const LineChange& change) {
        handlers_.on_change({settings_.name, change});
      },
  };
}

void ProbePort::ask() {
  if (!is_polled()) return;
  if (!answered_) {
    if (in_time(clock_.now_us())) {
      ++requests_.skipped;
      return;
    }
    ++requests_.unanswered;
    answered_ = true;
  }
  if (!line_.write(decoder_->next_request())) {
    ++requests_.refused;
    return;
  }
  ++requests_.sent;
  asked_us_ = clock_.now_us();
  answered_ = false;
}

void ProbePort::take(std::span<const char> bytes, TimeUs stamp_us) {
  if (is_polled() && !in_time(stamp_us)) {
    decoder_->feed_late(bytes, stamp_us);
    return;
  }
  const std::uint64_t before = decoder_->lines().total();
  decoder_->feed(bytes, stamp_us);
  if (decoder_->lines().total() != before) answered_ = true;
}

bool ProbePort::in_time(TimeUs now_us) const {
  const TimeUs limit_us = to_us(std::min(request_timeout_s, settings_.silence_s));
  return asked_us_ && now_us - *asked_us_ <= limit_us;
}

PortHealth ProbePort::health() const {
  return {settings_.name,    line_.state(), line_.counts(),
          decoder_->lines(), requests_,     decoder_->probes()};
}

}  // namespace nestcup::drivers
