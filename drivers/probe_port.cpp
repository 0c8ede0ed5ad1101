#include "drivers/probe_port.hpp"

#include <algorithm>
#include <utility>

namespace nestcup::drivers {
namespace {

constexpr double never_s = 1e9;

}  // namespace

Result<std::unique_ptr<ProbePort>> ProbePort::make(boost::asio::io_context& context,
                                                   const Clock& clock, const PortSettings& port,
                                                   std::vector<ProbeSettings> probes,
                                                   PortHandlers handlers) {
  PortDecoder::OnRemark on_remark;
  if (handlers.on_remark) {
    on_remark = [tell = handlers.on_remark, name = port.name](std::string_view text) {
      tell(name, text);
    };
  }
  const bool none = probes.empty();
  auto decoder =
      PortDecoder::make(port, std::move(probes), handlers.on_reading, std::move(on_remark));
  if (!decoder) return decoder.error();
  PortSettings settings = port;
  // A port that only carries a switch owes no reading.
  if (none) settings.silence_s = never_s;
  return std::unique_ptr<ProbePort>(
      new ProbePort(context, clock, settings, std::move(decoder).value(), std::move(handlers)));
}

ProbePort::ProbePort(boost::asio::io_context& context, const Clock& clock, PortSettings port,
                     std::unique_ptr<PortDecoder> decoder, PortHandlers handlers)
    : clock_(clock),
      settings_(std::move(port)),
      decoder_(std::move(decoder)),
      manners_(decoder_->manners()),
      handlers_(std::move(handlers)),
      timer_(context),
      line_(context, clock, settings_, line_handlers()) {
  if (settings_.mark_on) watch_switch(context, *settings_.mark_on);
}

void ProbePort::watch_switch(boost::asio::io_context& context, MarkLine line) {
  signal_.emplace(
      context, clock_, [this, line] { return switch_level(line); },
      [this](TimeUs time_us) { handlers_.on_press(time_us); });
}

std::optional<bool> ProbePort::switch_level(MarkLine line) {
  const auto descriptor = line_.descriptor();
  if (!descriptor) return std::nullopt;
  const auto level = modem_line(*descriptor, line);
  if (!level && !std::exchange(no_modem_lines_told_, true) && handlers_.on_remark) {
    handlers_.on_remark(settings_.name, "no CTS and DSR here: `mark_on` cannot work");
  }
  return level;
}

void ProbePort::start() {
  line_.start();
  if (signal_) signal_->start();
}

LineHandlers ProbePort::line_handlers() {
  return {[this] { started(); },
          [this](std::span<const char> bytes, TimeUs stamp_us) { take(bytes, stamp_us); },
          [this](const LineChange& change) {
            handlers_.on_change({settings_.name, change});
          },
          [this](std::span<const char> bytes, TimeUs stamp_us) {
            heard_us_ = stamp_us;
            decoder_->feed_late(bytes, stamp_us);
          },
          handlers_.on_traffic};
}

void ProbePort::started() {
  end_round();
  decoder_->reset();
}

void ProbePort::stop() {
  if (signal_) signal_->stop();
  end_round();
  line_.stop();
}

// A timer that has already fired cannot be cancelled: what it was set for is numbered, and the
// number is shared, so that a handler can also tell that this object is gone.
template <class Work>
void ProbePort::after(double wait_s, Work work) {
  timer_.expires_after(clock_.real_duration(std::max<TimeUs>(0, to_us(wait_s))));
  timer_.async_wait([watched = std::weak_ptr<const std::uint64_t>(waits_), number = ++*waits_,
                     work](const boost::system::error_code& cancelled) {
    const auto current = watched.lock();
    if (!cancelled && current && *current == number) work();
  });
}

void ProbePort::stop_waiting() {
  ++*waits_;
  timer_.cancel();
}

void ProbePort::ask() {
  if (!is_polled()) return;
  if (in_round_) {
    ++requests_.skipped;
    return;
  }
  in_round_ = true;
  pause_then_send();
}

void ProbePort::pause_then_send() {
  const double quiet_s = to_s(clock_.now_us() - heard_us_);
  if (quiet_s >= manners_.pause_s) return send_next();
  after(manners_.pause_s - quiet_s, [this] { send_next(); });
}

void ProbePort::send_next() {
  const std::string request = decoder_->next_request(clock_.now_us());
  if (request.empty()) return end_round();
  if (!line_.write(request)) {
    ++requests_.refused;
    decoder_->give_up(clock_.now_us());
    return end_round();
  }
  ++requests_.sent;
  asked_us_ = heard_us_ = clock_.now_us();
  awaiting_ = !decoder_->is_answered();
  if (!awaiting_) return pause_then_send();
  answer_until_us_ = asked_us_ + to_us(settings_.answer_s);
  after(settings_.answer_s, [this] { give_up(requests_.unanswered); });
}

void ProbePort::give_up(std::uint64_t& count) {
  ++count;
  awaiting_ = false;
  decoder_->give_up(clock_.now_us());
  pause_then_send();
}

void ProbePort::end_round() {
  stop_waiting();
  in_round_ = awaiting_ = false;
}

void ProbePort::take(std::span<const char> bytes, TimeUs stamp_us) {
  heard_us_ = stamp_us;
  if (is_polled() && !awaiting_) {
    decoder_->feed_late(bytes, stamp_us);
    return;
  }
  const TimeUs middle_us = asked_us_ + (stamp_us - asked_us_) / 2;
  decoder_->feed(bytes, manners_.stamp_middle ? middle_us : stamp_us);
  if (!is_polled()) return;
  if (decoder_->is_answered()) {
    awaiting_ = false;
    stop_waiting();
    return pause_then_send();
  }
  const double left_s = to_s(answer_until_us_ - stamp_us);
  if (decoder_->is_begun() && manners_.quiet_s > 0.0 && manners_.quiet_s < left_s) {
    after(manners_.quiet_s, [this] { give_up(requests_.broken_off); });
  } else {
    after(left_s, [this] { give_up(requests_.unanswered); });
  }
}

PortHealth ProbePort::health() const {
  return {settings_.name,    line_.state(), line_.adapter(),   line_.counts(),
          decoder_->lines(), requests_,     decoder_->probes()};
}

}  // namespace nestcup::drivers
