#include "daemon/bench.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <boost/asio/post.hpp>
#include <chrono>
#include <cstdlib>

#include "core/base/uncertain_text.hpp"
#include "core/record/run_id.hpp"
#include "daemon/bench_facts.hpp"
#include "daemon/stored_feed.hpp"

namespace nestcup::daemon {
namespace {

constexpr auto pace_in_run = std::chrono::milliseconds(200);
constexpr auto pace_watching = std::chrono::milliseconds(2000);
constexpr TimeUs clock_step_us = us_per_s / 2;

std::vector<ProbeRole> roles_of(const BenchFile& file) {
  std::vector<ProbeRole> roles;
  for (const ProbeSettings& probe : file.probes) roles.push_back(probe.role);
  return roles;
}

std::vector<std::string> names_of(const BenchFile& file) {
  std::vector<std::string> names;
  for (const ProbeSettings& probe : file.probes) names.push_back(probe.name);
  return names;
}

double stale_after_s(const BenchFile& file) {
  constexpr double shortest_s = 10.0;
  return std::max(shortest_s, 4.0 * file.interval_s);
}

bool has_heater(const std::optional<Sheet>& sheet) {
  return sheet && std::any_of(sheet->trials.begin(), sheet->trials.end(),
                              [](const SheetTrial& trial) { return trial.heater.has_value(); });
}

}  // namespace

Bench::Bench(Parts parts)
    : parts_(std::move(parts)),
      roles_(roles_of(parts_.file)),
      watch_(fresh_follower(), {[this](const FollowedRun& run) { on_state(run); },
                                [this](FinishedRun run) { analyse(std::move(run)); }}),
      drifts_(roles_.size()),
      calibrations_(parts_.file, parts_.calibrations),
      seen_(roles_.size()),
      rates_(roles_.size()),
      probe_watch_(names_of(parts_.file), stale_after_s(parts_.file), parts_.clock.now_us()),
      sampler_(parts_.context, parts_.clock, parts_.file.interval_s,
               [this] {
                 for (const auto& port : ports_) port->ask();
               }),
      clock_timer_(parts_.context),
      wall_offset_us_(parts_.clock.wall_us() - parts_.clock.now_us()) {}

RunFollower Bench::fresh_follower() const {
  return RunFollower({parts_.file.after_period_s, has_heater(parts_.sheet)}, roles_);
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

void Bench::resume(std::vector<Reading> readings, std::vector<StoredEvent> events) {
  watch_.post(
      [this, readings = std::move(readings), events = std::move(events)](RunFollower& follower) {
        feed_stored(follower, fresh_follower(), readings, events, roles_.size());
        if (readings.empty()) return;
        parts_.log(fmt::format("{} stored readings taken up again; state: {}", readings.size(),
                               run_state_name(follower.state())));
      });
}

void Bench::start() {
  for (const auto& port : ports_) port->start();
  const bool polled =
      std::any_of(ports_.begin(), ports_.end(), [](const auto& port) { return port->is_polled(); });
  if (polled) sampler_.start();
  watch_clock();
}

void Bench::stop() {
  sampler_.stop();
  clock_timer_.cancel();
  for (const auto& port : ports_) port->stop();
  watch_.join();  // it hands over to the worker
  worker_.join();
}

void Bench::on_reading(std::size_t probe, TimeUs time_us, double shown_degC, double raw) {
  if (!rates_[probe].take(parts_.clock.now_us())) {
    if (!rates_[probe].is_news()) return;
    const std::string text =
        fmt::format("probe {}: a flood of readings; {:g} a second are kept, the rest is dropped",
                    parts_.file.probes[probe].name, ReadingRate::most_per_s);
    parts_.log(text);
    return add_event("flood", {{"probe", parts_.file.probes[probe].name}, {"text", text}});
  }
  seen_[probe].take(time_us, shown_degC);
  const double temperature_degC = calibrations_.corrected_degC(probe, shown_degC);
  const Reading reading{static_cast<std::uint16_t>(probe), time_us, temperature_degC, raw};
  parts_.recorder.add(reading);
  drifts_[probe].take(time_us, temperature_degC);
  watch_.post([reading](RunFollower& follower) { follower.feed(reading); });
}

void Bench::on_port_change(const drivers::PortChange& change) {
  const auto state = drivers::state_name(change.line.state);
  parts_.log(fmt::format("port {}: {}{}{}", change.port, state,
                         change.line.reason.empty() ? "" : ": ", change.line.reason));
  add_event("port", {{"port", change.port}, {"state", state}, {"reason", change.line.reason}});
}

void Bench::add_event(std::string kind, const nlohmann::json& detail) {
  parts_.recorder.add(StoredEvent{parts_.clock.now_us(), std::move(kind), detail.dump()});
}

void Bench::on_state(const FollowedRun& run) {
  const bool withdrawn = run.state == RunState::watching && !run.last_withdrawal.empty();
  parts_.log(fmt::format("run: {}{}{}", run_state_name(run.state),
                         withdrawn ? ", onset withdrawn: " : "",
                         withdrawn ? run.last_withdrawal : ""));
  parts_.recorder.set_pace(run.state == RunState::watching ? pace_watching : pace_in_run);
}

RecordContext Bench::context_of(const FinishedRun& run) const {
  RecordContext context;
  context.source = "bench";
  context.bench = parts_.file.name;
  if (parts_.sheet) {
    context.sheet = {{"title", parts_.sheet->title}, {"sha256", parts_.sheet->sha256}};
  }
  context.probes = record_probes(parts_.file, calibrations_.held());
  context.started_wall_us = run.readings.front().time_us + wall_offset_us_;
  context.clock_synchronised = parts_.clock.synchronised();
  return context;
}

void Bench::analyse(FinishedRun run) {
  const auto ended = std::chrono::steady_clock::now();
  const RecordContext context = context_of(run);
  const TimeUs wall_us = parts_.clock.wall_us();
  const std::string id = new_run_id(wall_us);
  boost::asio::post(worker_, [this, run = std::move(run), context, wall_us, id, ended] {
    const TimeUs first_us = run.readings.front().time_us;
    const MadeRecord made = make_record(run, roles_, context, id, first_us);
    const auto& rise = made.analysis.rise;
    const std::string said = made.analysis.usable()
                                 ? uncertain_text({rise.value_K, rise.u_K, std::nullopt}, "K")
                                 : "unusable";
    const StoredRun stored{id, 0,          first_us,          run.readings.back().time_us,
                           1,  "finished", made.record.dump()};
    const RevisionNote note{"finished", "", "bench", wall_us};
    parts_.recorder.post([this, stored, note, said, ended](Store& store) -> Result<void> {
      auto number = store.add_run(stored, note);
      if (!number) {
        if (number.error().kind != Fault::io) parts_.log("run not stored: " + number.error().text);
        return number.error();
      }
      const std::chrono::duration<double, std::milli> took =
          std::chrono::steady_clock::now() - ended;
      boost::asio::post(
          parts_.context, [this, said, last = LastRun{stored.id, *number, took.count()}] {
            last_run_ = last;
            parts_.log(fmt::format("run {} finished: corrected rise {}", last.number, said));
          });
      return {};
    });
  });
}

void Bench::mark(TimeUs time_us, const std::string& who, FoundBy how) {
  watch_.post([time_us, how](RunFollower& follower) { follower.mark(time_us, how); });
  const nlohmann::json detail{{"who", who}, {"how", found_by_name(how)}};
  parts_.recorder.add(StoredEvent{time_us, "mark", detail.dump()});
  parts_.log(fmt::format("marked by {}", who));
}

void Bench::finish(const std::string& who, std::function<void(const Result<void>&)> done) {
  const TimeUs now_us = parts_.clock.now_us();
  watch_.post([this, now_us, who, done = std::move(done)](RunFollower& follower) {
    if (!follower.finish()) {
      return done(Error{Fault::try_later, "no run is under way; nothing to finish"});
    }
    parts_.recorder.add(StoredEvent{now_us, "finish", nlohmann::json{{"who", who}}.dump()});
    parts_.log(fmt::format("finish asked by {}", who));
    done({});
  });
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
                     probe_watch_.is_stale(counts, parts_.clock.now_us()), drifts_[i], rates_[i]};
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
      parts_.log(fmt::format("wall clock stepped by {:.3f} s; curves are not touched", step_s));
      add_event("clock-step", {{"step_s", step_s}});
      wall_offset_us_ = offset_us;
    }
    watch_probes();
    watch_clock();
  });
}

void Bench::watch_probes() {
  std::vector<drivers::ProbeCounts> counts;
  for (const ProbeState& state : probes()) counts.push_back(state.counts);
  for (const ProbeNews& news : probe_watch_.look(counts, parts_.clock.now_us())) {
    parts_.log(news.text);
    add_event("probe", {{"probe", parts_.file.probes[news.probe].name},
                        {"health", health_name(news.health)},
                        {"text", news.text}});
  }
}

}  // namespace nestcup::daemon
