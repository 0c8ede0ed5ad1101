#include "daemon/live/stream_hub.hpp"

#include <chrono>
#include <utility>

namespace nestcup::daemon {
namespace {

/// So long readings are gathered: far below what the eye notices, and with many probes one message
/// instead of hundreds.
constexpr std::chrono::milliseconds gather{20};
constexpr std::chrono::seconds status_interval{1};

StreamText shared(std::string text) {
  return std::make_shared<const std::string>(std::move(text));
}

}  // namespace

StreamHub::StreamHub(boost::asio::io_context& context, std::size_t probes, Status status,
                     MayStay may_stay)
    : status_(std::move(status)),
      may_stay_(std::move(may_stay)),
      pending_(probes),
      newest_(probes),
      flush_timer_(context),
      status_timer_(context) {
  for (std::size_t probe = 0; probe < probes; ++probe) pending_[probe].probe = probe;
  tick();
}

StreamHub::~StreamHub() {
  each([](Watcher& watcher, const Caller&) { watcher.close(); });
}

std::shared_ptr<StreamPeer> StreamHub::join(StreamStart start) {
  // A watcher may outlive the hub by what is outstanding on its connection.
  const std::weak_ptr<int> alive = alive_;
  auto newest = [this, alive] {
    return alive.expired() ? shared(readings_text({}, true)) : this->newest();
  };
  auto on_end = [this, alive, tell = std::move(start.on_end)](Watcher* watcher) {
    if (!alive.expired()) watchers_.erase(watcher);
    tell();
  };
  auto watcher =
      std::make_shared<Watcher>(std::move(start.socket), std::move(newest), std::move(on_end));
  watcher->accept(start.request, [this, alive, watcher = watcher.get(), caller = start.caller] {
    if (!alive.expired()) welcome(*watcher, caller);
  });
  return watcher;
}

void StreamHub::welcome(Watcher& watcher, const Caller& caller) {
  watchers_[&watcher] = {watcher.shared_from_this(), caller};
  watcher.state(shared(status_text(status_(caller))));
}

void StreamHub::reading(std::size_t probe, TimeUs time_us, double temperature_degC) {
  newest_[probe] = Seen{time_us, temperature_degC};
  if (watchers_.empty()) return;
  pending_[probe].time_us.push_back(time_us);
  pending_[probe].temperature_degC.push_back(temperature_degC);
  flush_soon();
}

void StreamHub::event(TimeUs time_us, std::string_view kind, std::string_view detail) {
  if (watchers_.empty()) return;
  flush();  // what was read before it is told before it
  const StreamText text = shared(event_text(time_us, kind, detail));
  each([&](Watcher& watcher, const Caller&) { watcher.event(text); });
  changed();
}

void StreamHub::changed() {
  changed_ = true;
  if (!watchers_.empty()) flush_soon();
}

void StreamHub::flush_soon() {
  if (std::exchange(flushing_, true)) return;
  flush_timer_.expires_after(gather);
  flush_timer_.async_wait([this](const boost::system::error_code& cancelled) {
    if (cancelled) return;
    flushing_ = false;
    flush();
    if (std::exchange(changed_, false)) send_status();
  });
}

void StreamHub::flush() {
  std::vector<ProbeNewest> news;
  for (ProbeNewest& one : pending_) {
    if (one.time_us.empty()) continue;
    news.push_back(std::exchange(one, ProbeNewest{one.probe, {}, {}}));
  }
  if (news.empty()) return;
  const StreamText text = shared(readings_text(news, false));
  each([&](Watcher& watcher, const Caller&) { watcher.readings(text); });
}

void StreamHub::tick() {
  status_timer_.expires_after(status_interval);
  status_timer_.async_wait([this](const boost::system::error_code& cancelled) {
    if (cancelled) return;
    send_status();
    tick();
  });
}

void StreamHub::send_status() {
  std::map<Caller, StreamText> texts;  // one for all who may see the same
  each([&](Watcher& watcher, const Caller& caller) {
    if (!may_stay_(caller)) return watcher.send_away("this token is not known here any more");
    StreamText& text = texts[caller];
    if (!text) text = shared(status_text(status_(caller)));
    watcher.state(text);
  });
}

void StreamHub::each(const std::function<void(Watcher&, const Caller&)>& work) {
  const Watchers watchers = watchers_;
  for (const auto& [key, one] : watchers) work(*one.first, one.second);
}

StreamText StreamHub::newest() const {
  std::vector<ProbeNewest> probes;
  for (std::size_t probe = 0; probe < newest_.size(); ++probe) {
    if (!newest_[probe]) continue;
    probes.push_back({probe, {newest_[probe]->time_us}, {newest_[probe]->temperature_degC}});
  }
  return shared(readings_text(probes, true));
}

}  // namespace nestcup::daemon
