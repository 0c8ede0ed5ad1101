#include "daemon/bench/bench.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <boost/asio/post.hpp>
#include <chrono>
#include <cstdlib>

#include "daemon/store/bench_facts.hpp"
#include "daemon/store/stored_feed.hpp"

namespace nestcup::daemon {
namespace {

constexpr TimeUs clock_step_us = us_per_s / 2;

std::vector<ProbeRole> roles_of(const BenchFile& file) {
  std::vector<ProbeRole> roles;
  for (std::size_t i = 0; i < run_probes(file); ++i) roles.push_back(file.probes[i].role);
  return roles;
}

std::vector<std::string> names_of(const BenchFile& file) {
  std::vector<std::string> names;
  for (const ProbeSettings& probe : file.probes) names.push_back(probe.name);
  return names;
}

bool needs_somebody(drivers::LineState state) {
  return state == drivers::LineState::waiting || state == drivers::LineState::silent;
}

double stale_after_s(const BenchFile& file) {
  constexpr double shortest_s = 10.0;
  return std::max(shortest_s, 4.0 * file.interval_s);
}

}  // namespace

Bench::Bench(Parts parts)
    : parts_(std::move(parts)),
      roles_(roles_of(parts_.file)),
      trials_(std::exchange(parts_.sheet, std::nullopt)),
      watch_(fresh_follower(), {[this](const FollowedRun& run) { on_state(run); },
                                [this](FinishedRun run) { analyse(std::move(run)); }}),
      provisional_(watch_, roles_, [this] { tell_change(); }),
      drifts_(parts_.file.probes.size()),
      calibrations_(parts_.file, parts_.calibrations),
      seen_(parts_.file.probes.size(), SeenReadings(parts_.file.probes.size())),
      rates_(parts_.file.probes.size()),
      probe_watch_(names_of(parts_.file), stale_after_s(parts_.file), parts_.clock.now_us()),
      sampler_(parts_.context, parts_.clock, parts_.file.interval_s,
               [this] {
                 for (const auto& port : ports_) port->ask();
               }),
      clock_timer_(parts_.context),
      results_hidden_(parts_.results_hidden),
      wall_offset_us_(parts_.clock.wall_us() - parts_.clock.now_us()) {}

RunFollower Bench::fresh_follower() const {
  const auto sheet = trials_.sheet();
  return RunFollower({parts_.file.after_period_s, sheet && has_heater(*sheet)}, roles_);
}

Result<std::unique_ptr<Bench>> Bench::make(Parts parts) {
  std::unique_ptr<Bench> bench(new Bench(std::move(parts)));
  if (auto opened = bench->open_ports(); !opened) return opened.error();
  return bench;
}

Result<void> Bench::open_ports() {
  const BenchFile& file = parts_.file;
  place_.resize(file.probes.size());
  for (const PortSettings& port : file.ports) {
    std::vector<ProbeSettings> on_port;
    std::vector<std::size_t> global;
    for (std::size_t i = 0; i < file.probes.size(); ++i) {
      if (file.probes[i].port != port.name) continue;
      place_[i] = {ports_.size(), on_port.size()};
      on_port.push_back(file.probes[i]);
      global.push_back(i);
    }
    drivers::PortHandlers handlers;
    handlers.on_reading = [this, global](std::size_t probe, TimeUs time_us, double degC,
                                         double raw) {
      on_reading(global[probe], time_us, degC, raw);
    };
    handlers.on_change = [this](const drivers::PortChange& change) { on_port_change(change); };
    handlers.on_remark = [this](const std::string& name, std::string_view text) {
      parts_.log(fmt::format("port {}: {}", name, text));
      add_event("remark", {{"port", name}, {"text", text}});
    };
    handlers.on_press = [this, name = port.name](TimeUs time_us) {
      mark(time_us, "the switch on port " + name, FoundBy::line_signal);
    };
    auto made = drivers::ProbePort::make(parts_.context, parts_.clock, port, std::move(on_port),
                                         std::move(handlers));
    if (!made) return made.error();
    ports_.push_back(std::move(made).value());
  }
  return {};
}

void Bench::resume(Past past) {
  watch_.post([this, past = std::move(past)](RunFollower& follower) {
    for (FinishedRun& run : feed_stored(follower, past, roles_.size())) analyse(std::move(run));
    if (past.readings.empty()) return;
    parts_.log(fmt::format("{} stored readings taken up again; state: {}", past.readings.size(),
                           run_state_name(follower.state())));
  });
}

void Bench::start() {
  for (const auto& port : ports_) port->start();
  const bool polled =
      std::any_of(ports_.begin(), ports_.end(), [](const auto& port) { return port->is_polled(); });
  if (polled) sampler_.start();
  parts_.recorder.post([this](Store& store) -> Result<void> {
    trials_.look(store);
    return {};
  });
  watch_clock();
}

void Bench::stop() {
  sampler_.stop();
  clock_timer_.cancel();
  for (const auto& port : ports_) port->stop();
  watch_.join();  // it hands over to the workers
  provisional_.stop();
  worker_.join();
}

void Bench::on_reading(std::size_t probe, TimeUs time_us, double shown_degC, double raw) {
  if (!rates_[probe].take(parts_.clock.now_us())) {
    if (!rates_[probe].is_news()) return;
    const std::string text =
        fmt::format("probe {}: a flood of readings; {:g} a second are kept, the rest is dropped",
                    parts_.file.probes[probe].name, ReadingRate::most_per_s);
    parts_.log.warning(text);
    return add_event("flood", {{"probe", parts_.file.probes[probe].name}, {"text", text}});
  }
  seen_[probe].take(time_us, shown_degC);
  const double temperature_degC = calibrations_.corrected_degC(probe, shown_degC);
  const Reading reading{static_cast<std::uint16_t>(probe), time_us, temperature_degC, raw};
  parts_.recorder.add(reading);
  drifts_[probe].take(time_us, temperature_degC);
  if (probe < roles_.size()) {
    watch_.post([reading](RunFollower& follower) { follower.feed(reading); });
  }
  listener_.on_reading(probe, time_us, temperature_degC);
}

void Bench::on_port_change(const drivers::PortChange& change) {
  const auto state = drivers::state_name(change.line.state);
  parts_.log.put(needs_somebody(change.line.state) ? LogLevel::warning : LogLevel::info,
                 fmt::format("port {}: {}{}{}", change.port, state,
                             change.line.reason.empty() ? "" : ": ", change.line.reason));
  add_event("port", {{"port", change.port}, {"state", state}, {"reason", change.line.reason}});
}

void Bench::add_event(std::string kind, const nlohmann::json& detail) {
  add_event_at(parts_.clock.now_us(), std::move(kind), detail);
}

void Bench::add_event_at(TimeUs time_us, std::string kind, const nlohmann::json& detail) {
  const StoredEvent event{time_us, std::move(kind), detail.dump()};
  parts_.recorder.add(event);
  boost::asio::post(parts_.context, [this, event] { listener_.on_event(event); });
}

void Bench::tell_change() {
  boost::asio::post(parts_.context, [this] { listener_.on_change(); });
}

std::vector<drivers::PortHealth> Bench::ports() const {
  std::vector<drivers::PortHealth> health;
  for (const auto& port : ports_) health.push_back(port->health());
  return health;
}

std::vector<ProbeState> Bench::probes() const {
  const std::vector<drivers::PortHealth> health = ports();
  std::vector<ProbeState> states;
  for (std::size_t i = 0; i < drifts_.size(); ++i) {
    const auto [port, index] = place_[i];
    const drivers::ProbeCounts& counts = health[port].probes[index];
    ProbeState state{counts, probe_watch_.health(i),
                     probe_watch_.is_stale(counts, parts_.clock.now_us()), drifts_[i].drift(),
                     rates_[i]};
    if (auto& last_degC = state.counts.last_degC) {
      last_degC = calibrations_.corrected_degC(i, *last_degC);
    }
    states.push_back(std::move(state));
  }
  return states;
}

void Bench::watch_clock() {
  clock_timer_.expires_after(std::chrono::seconds(1));
  clock_timer_.async_wait([this](const boost::system::error_code& cancelled) {
    if (cancelled) return;
    const TimeUs offset_us = parts_.clock.wall_us() - parts_.clock.now_us();
    const TimeUs step_us = offset_us - wall_offset_us_;
    if (std::abs(step_us) > clock_step_us) {
      const double step_s = to_s(step_us);
      ++clock_steps_;
      parts_.log.warning(
          fmt::format("wall clock stepped by {:.3f} s; curves are not touched", step_s));
      add_event("clock-step", {{"step_s", step_s}});
      wall_offset_us_ = offset_us;
    }
    if (const double slept_s = sleeps_.slept_s(); slept_s > 0.0) {
      parts_.log(fmt::format("the machine slept for {:.1f} s; no reading was taken", slept_s));
      add_event("slept", {{"slept_s", slept_s}});
    }
    watch_probes();
    provisional_.look(parts_.clock.now_us());
    watch_clock();
  });
}

void Bench::watch_probes() {
  std::vector<drivers::ProbeCounts> counts;
  for (const ProbeState& state : probes()) counts.push_back(state.counts);
  for (const ProbeNews& news : probe_watch_.look(counts, parts_.clock.now_us())) {
    parts_.log.put(news.health == ProbeHealth::well ? LogLevel::info : LogLevel::warning,
                   news.text);
    add_event("probe", {{"probe", parts_.file.probes[news.probe].name},
                        {"health", health_name(news.health)},
                        {"text", news.text}});
  }
}

}  // namespace nestcup::daemon
