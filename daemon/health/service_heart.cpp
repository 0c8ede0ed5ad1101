#include "daemon/health/service_heart.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace nestcup::daemon {
namespace {

using std::chrono::duration;
using std::chrono::duration_cast;

constexpr auto status_every = std::chrono::seconds(3);
constexpr auto usual_beat = std::chrono::milliseconds(1000);

std::string_view run_words(RunState state) {
  switch (state) {
    case RunState::watching:
      return "watching for a mixing";
    case RunState::suspected:
      return "a mixing is suspected";
    case RunState::running:
      return "a run is under way";
  }
  return "";
}

double seconds_between(std::chrono::steady_clock::time_point from,
                       std::chrono::steady_clock::time_point to) {
  return duration<double>(to - from).count();
}

}  // namespace

std::string bench_line(Bench& bench, std::uint64_t runs) {
  const std::vector<ProbeState> probes = bench.probes();
  const auto reading = std::count_if(probes.begin(), probes.end(),
                                     [](const ProbeState& probe) { return !probe.stale; });
  std::string line = fmt::format("{} of {} probes read; {}; {} runs kept", reading, probes.size(),
                                 run_words(bench.run().state), runs);
  const RecorderStatus store = bench.recorder().status();
  if (!store.error.empty()) {
    line += fmt::format("; the store cannot be written, {} readings are held: {}",
                        store.held_readings, store.error);
  }
  if (store.lost_readings > 0) line += fmt::format("; {} readings were lost", store.lost_readings);
  return line;
}

ServiceHeart::ServiceHeart(boost::asio::io_context& context, const SystemManager& manager,
                           Bench& bench, std::uint64_t runs, Log log)
    : manager_(manager), bench_(bench), runs_(runs), log_(std::move(log)), timer_(context) {}

void ServiceHeart::start() {
  if (!manager_.is_there()) return;
  told_ = bench_line(bench_, runs_);
  told_at_ = Steady::now();
  send("READY=1\n" + status_line(told_));
  beat();
}

void ServiceHeart::stop() {
  timer_.cancel();
  told_ = "stopping";
  send("STOPPING=1\n" + status_line(told_));
}

void ServiceHeart::beat() {
  const auto now = Steady::now();
  if (manager_.watchdog()) give_sign(now);
  tell_status(now);
  // Often enough that a sign which was withheld follows at once when the proof is back.
  auto next = duration_cast<std::chrono::microseconds>(usual_beat);
  if (manager_.watchdog()) next = std::min(next, *manager_.watchdog() / 8);
  timer_.expires_after(next);
  timer_.async_wait([this](const boost::system::error_code& cancelled) {
    if (!cancelled) beat();
  });
}

void ServiceHeart::give_sign(Steady::time_point now) {
  const auto half = *manager_.watchdog() / 2;
  const auto longest = std::max<Steady::duration>(half, 2 * writer_moves_every);
  const auto silent = now - bench_.recorder().last_move();
  std::string why;
  if (silent > longest) {
    why = fmt::format("the thread that writes the store has not moved for {:.0f} s",
                      duration<double>(silent).count());
  }
  if (!why.empty() && withheld_.empty()) {
    log_.error(why + "; the service manager gets no sign of life until it does");
  }
  if (why.empty() && !withheld_.empty()) log_("the thread that writes the store moves again");
  withheld_ = std::move(why);
  // A little before it is due, for the timer comes late rather than early.
  const bool is_due = !sign_at_ || now - *sign_at_ > half - half / 8;
  if (!withheld_.empty() || !is_due) return;
  send("WATCHDOG=1");
  if (unheard_.empty()) sign_at_ = now;
}

void ServiceHeart::tell_status(Steady::time_point now) {
  if (now - told_at_ < status_every) return;
  // Runs are numbered one by one and never deleted.
  if (const auto& last = bench_.last_run()) {
    runs_ = std::max(runs_, static_cast<std::uint64_t>(last->number));
  }
  std::string line = bench_line(bench_, runs_);
  if (!withheld_.empty()) line += "; " + withheld_;
  if (line == told_) return;
  told_ = std::move(line);
  told_at_ = now;
  send(status_line(told_));
}

void ServiceHeart::send(const std::string& lines) {
  const auto sent = manager_.tell(lines);
  const std::string why = sent ? "" : sent.error().text;
  if (!why.empty() && why != unheard_) log_.warning(why);
  unheard_ = why;
}

ServiceState ServiceHeart::state() const {
  ServiceState state;
  state.has_manager = manager_.is_there();
  state.told = told_;
  state.withheld = withheld_;
  if (const auto watchdog = manager_.watchdog()) {
    state.watchdog_s = duration<double>(*watchdog).count();
  }
  if (sign_at_) state.since_sign_s = seconds_between(*sign_at_, Steady::now());
  return state;
}

}  // namespace nestcup::daemon
