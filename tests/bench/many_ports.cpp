// Sixty-four ports at ten readings a second each, one of them unplugged every second and back half
// a second later under another number: what is lost, how late stamps and the sampler are, what it
// costs. Judges counts, memory and descriptors, and never a time.
#include <fmt/format.h>
#include <sys/resource.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <boost/asio/posix/stream_descriptor.hpp>
#include <boost/asio/steady_timer.hpp>
#include <charconv>
#include <cmath>
#include <cstdio>
#include <exception>
#include <filesystem>
#include <fstream>
#include <memory>
#include <string>
#include <string_view>

#include "daemon/bench/sampler.hpp"
#include "drivers/probe_port.hpp"
#include "tests/bench/port_account.hpp"
#include "tests/daemon/support.hpp"

namespace nestcup::bench {
namespace {

namespace asio = boost::asio;

// What a growing list or a leaked buffer of a few bytes a reading would pass at once.
constexpr double most_growth_MiB = 2.0;
// Half a second of readings: a machine that stands still may lose them with the cable.
constexpr std::size_t most_lost_at_unplug = 5;

void figure(std::string_view name, double value, std::string_view unit) {
  fmt::print("many_ports.{} {:.6g} {}\n", name, value, unit);
}

class SteadyClock final : public Clock {
 public:
  [[nodiscard]] TimeUs now_us() const override { return steady_us(); }
  [[nodiscard]] TimeUs wall_us() const override { return steady_us(); }
  [[nodiscard]] std::optional<bool> synchronised() const override { return std::nullopt; }
  [[nodiscard]] std::chrono::nanoseconds real_duration(TimeUs bench_us) const override {
    return std::chrono::microseconds(bench_us);
  }
};

double resident_MiB() {
  std::ifstream status("/proc/self/status");
  for (std::string line; std::getline(status, line);) {
    if (line.starts_with("VmRSS:")) return std::stod(line.substr(6)) / 1024.0;
  }
  throw std::runtime_error("no VmRSS in /proc/self/status");
}

int open_descriptors() {
  const std::filesystem::directory_iterator all("/proc/self/fd");
  return static_cast<int>(std::distance(begin(all), end(all))) - 1;  // without the one just used
}

double cpu_s() {
  rusage usage{};
  ::getrusage(RUSAGE_SELF, &usage);
  const auto seconds = [](const timeval& t) {
    return static_cast<double>(t.tv_sec) + 1e-6 * static_cast<double>(t.tv_usec);
  };
  return seconds(usage.ru_utime) + seconds(usage.ru_stime);
}

PortSettings port_settings(const BoardPlan& plan, int board) {
  PortSettings port;
  port.name = fmt::format("board-{}", board);
  port.device = link_of(plan, board);
  port.settle_s = 0.05;
  constexpr std::array<const char*, 3> protocols{"text", "senml", "modbus-rtu"};
  port.protocol = protocols.at(static_cast<std::size_t>(speech_of(board)));
  return port;
}

ProbeSettings probe_settings(int board) {
  ProbeSettings probe;
  probe.name = fmt::format("probe-{}", board);
  probe.port = fmt::format("board-{}", board);
  switch (speech_of(board)) {
    case Speech::text:
      probe.channel.column = 2;
      break;
    case Speech::senml:
      probe.channel.key = "urn:dev:org:32473-bench:t";
      break;
    case Speech::modbus:
      probe.channel.registers = register_of(board);
      probe.channel.scale = degC_per_code;
  }
  return probe;
}

/// One port, and all that came of it.
struct Port {
  std::unique_ptr<drivers::ProbePort> port{};
  std::vector<Arrival> arrivals{};  // made large before, so that it is no growth
  std::vector<OpenTime> open{};
  drivers::PortHealth health{};
};

/// What the machine showed of this process at one moment.
struct Snapshot {
  double resident_MiB = 0.0;
  int other_descriptors = 0;  ///< those that are no port's
};

class Ports {
 public:
  explicit Ports(const BoardPlan& plan)
      : sampler_(context_, clock_, 0.1, [this] { ask(); }), mark_(context_), end_(context_) {
    for (int i = 0; i < board_count; ++i) add(plan, i);
  }

  /// Until the boards' process tells its end, or ends.
  void run(int news, double mark_s) {
    for (Port& port : ports_) port.port->start();
    sampler_.start();
    mark_.expires_after(std::chrono::milliseconds(static_cast<int>(1e3 * mark_s)));
    mark_.async_wait([this](const boost::system::error_code&) { early = snapshot(); });
    asio::posix::stream_descriptor boards(context_, news);
    std::array<char, 1> byte{};
    boards.async_read_some(asio::buffer(byte),
                           [this](const boost::system::error_code& fault, std::size_t) {
                             played_to_the_end = !fault;
                             let_drain();
                           });
    const double begun_s = cpu_s();
    context_.run();
    used_cpu_s = cpu_s() - begun_s;
    for (Port& port : ports_) port.port.reset();
  }

  [[nodiscard]] std::array<Port, board_count>& all() { return ports_; }
  [[nodiscard]] daemon::SamplerStatus sampler() const { return sampler_.status(); }

  Snapshot early{};
  Snapshot late{};
  double used_cpu_s = 0.0;
  bool played_to_the_end = false;

 private:
  void add(const BoardPlan& plan, int board) {
    Port& port = ports_[static_cast<std::size_t>(board)];
    const auto room = static_cast<std::size_t>(plan.for_s * 20.0) + 100;
    port.arrivals.assign(room, {1, 1});  // written to, so that the pages are there
    port.arrivals.clear();
    port.open.reserve(static_cast<std::size_t>(plan.for_s) + 10);
    drivers::PortHandlers handlers;
    handlers.on_reading = [&port](std::size_t, TimeUs time_us, double degC, double) {
      const double code = std::round(degC / degC_per_code);
      const bool is_code = std::abs(degC - code * degC_per_code) < 1e-9;
      port.arrivals.push_back({is_code ? static_cast<std::uint32_t>(code) : UINT32_MAX, time_us});
    };
    handlers.on_change = [&port](const drivers::PortChange& change) {
      const bool has_one = !port.open.empty() && !port.open.back().ended;
      if (change.line.state == drivers::LineState::open && !has_one) {
        port.open.push_back({change.line.since_us, 0, false});
      }
      if (change.line.state == drivers::LineState::waiting && has_one) {
        port.open.back() = {port.open.back().from_us, change.line.since_us, true};
      }
    };
    auto made = drivers::ProbePort::make(context_, clock_, port_settings(plan, board),
                                         {probe_settings(board)}, std::move(handlers));
    if (!made) throw std::runtime_error(made.error().text);
    port.port = std::move(made).value();
  }

  void ask() {
    for (Port& port : ports_) port.port->ask();
  }

  void let_drain() {
    end_.expires_after(std::chrono::milliseconds(300));
    end_.async_wait([this](const boost::system::error_code&) { stop(); });
  }

  void stop() {
    late = snapshot();
    sampler_.stop();
    for (Port& port : ports_) {
      port.health = port.port->health();
      if (!port.open.empty() && !port.open.back().ended) port.open.back().until_us = steady_us();
      port.port->stop();
    }
    context_.stop();
  }

  [[nodiscard]] Snapshot snapshot() const {
    int descriptors = open_descriptors();
    for (const Port& port : ports_) {
      const auto state = port.port->health().line.state;
      const bool is_open =
          state != drivers::LineState::waiting && state != drivers::LineState::closed;
      if (is_open) --descriptors;
    }
    return {resident_MiB(), descriptors};
  }

  SteadyClock clock_;
  asio::io_context context_;
  std::array<Port, board_count> ports_{};
  daemon::Sampler sampler_;
  asio::steady_timer mark_;
  asio::steady_timer end_;
};

void late_figures(std::string_view of, std::vector<TimeUs> late_us) {
  if (late_us.empty()) return;
  std::sort(late_us.begin(), late_us.end());
  const auto at = [&](std::size_t percent) {
    return static_cast<double>(
        late_us[std::min(late_us.size() - 1, late_us.size() * percent / 100)]);
  };
  figure(fmt::format("{}_stamp.least", of), at(0), "us");
  figure(fmt::format("{}_stamp.median", of), at(50), "us");
  figure(fmt::format("{}_stamp.p99", of), at(99), "us");
  figure(fmt::format("{}_stamp.most", of), at(100), "us");
}

/// Everything that was counted, over all ports.
struct Sums {
  PortAccount all{};
  std::size_t lost_untouched = 0;  ///< of ports whose cable stayed
  std::size_t arrivals = 0;
  std::size_t pluggings = 0;
  std::size_t same_number = 0;
  std::size_t refused = 0;
  std::size_t wrong_opens = 0;  ///< ports that were opened more or less often than plugged in
  std::size_t without_due = 0;  ///< ports that had nothing to lose
  std::size_t faulty_lines = 0;
  std::size_t unanswered = 0;
  std::vector<TimeUs> streamed_us{};
  std::vector<TimeUs> polled_us{};
  std::vector<TimeUs> back_us{};  ///< from a cable put back to the port being open and settled
};

void add_port(int board, const Port& port, const BoardLog& log, Sums& sums) {
  const PortAccount account = account_of(board, log.sent_us, port.arrivals, port.open);
  sums.all.due += account.due;
  sums.all.arrived += account.arrived;
  sums.all.lost += account.lost;
  sums.all.lost_at_unplug += account.lost_at_unplug;
  sums.all.most_at_unplug = std::max(sums.all.most_at_unplug, account.most_at_unplug);
  sums.all.out_of_order += account.out_of_order;
  sums.all.strange += account.strange;
  if (board >= first_untouched) sums.lost_untouched += account.lost + account.lost_at_unplug;
  if (account.due == 0) ++sums.without_due;
  auto& late_us = speech_of(board) == Speech::modbus ? sums.polled_us : sums.streamed_us;
  late_us.insert(late_us.end(), account.late_us.begin(), account.late_us.end());
  sums.arrivals += port.arrivals.size();
  sums.refused += log.refused.size();
  sums.pluggings += log.pluggings.size();
  sums.faulty_lines += port.health.lines.faulty;
  sums.unanswered += port.health.requests.unanswered + port.health.requests.broken_off;
  const bool fits = port.open.size() == log.pluggings.size() + 1;
  if (!fits || port.health.serial.opens != port.open.size()) ++sums.wrong_opens;
  for (std::size_t i = 0; i < log.pluggings.size(); ++i) {
    if (log.pluggings[i].same_number) ++sums.same_number;
    if (fits) sums.back_us.push_back(port.open[i + 1].from_us - log.pluggings[i].plugged_us);
  }
}

void print_figures(const Sums& sums, const Ports& ports, const BoardPlan& plan) {
  figure("readings_due", static_cast<double>(sums.all.due), "1");
  figure("readings_arrived", static_cast<double>(sums.all.arrived), "1");
  figure("rate", static_cast<double>(sums.arrivals) / plan.for_s, "readings/s");
  figure("unplugged", static_cast<double>(sums.pluggings), "1");
  figure("lost", static_cast<double>(sums.all.lost), "1");
  figure("lost_untouched", static_cast<double>(sums.lost_untouched), "1");
  figure("lost_at_unplug", static_cast<double>(sums.all.lost_at_unplug), "1");
  figure("questions_unanswered", static_cast<double>(sums.unanswered), "1");
  late_figures("streamed", sums.streamed_us);
  late_figures("polled", sums.polled_us);
  late_figures("open_again", sums.back_us);
  const daemon::SamplerStatus sampler = ports.sampler();
  figure("sampler.ticks", static_cast<double>(sampler.ticks), "1");
  figure("sampler.missed", static_cast<double>(sampler.missed), "1");
  figure("sampler.late_median", sampler.late_median_us, "us");
  figure("sampler.late_p99", sampler.late_p99_us, "us");
  figure("cpu_per_reading", 1e6 * ports.used_cpu_s / static_cast<double>(sums.arrivals), "us");
  figure("cpu_share", 100.0 * ports.used_cpu_s / plan.for_s, "%");
  figure("resident", ports.late.resident_MiB, "MiB");
  figure("resident_growth", ports.late.resident_MiB - ports.early.resident_MiB, "MiB");
}

/// @return how many things are not as they must be
int judge(const Sums& sums, const Ports& ports, const BoardPlan& plan, bool judge_memory) {
  int wrong = 0;
  const auto must_be = [&](bool holds, std::string_view what) {
    if (holds) return;
    ++wrong;
    fmt::print(stderr, "many_ports: wrong: {}\n", what);
  };
  must_be(ports.played_to_the_end, "the boards ended early");
  must_be(sums.without_due == 0, fmt::format("{} ports without a reading", sums.without_due));
  must_be(sums.all.lost == 0, fmt::format("{} readings lost", sums.all.lost));
  must_be(sums.lost_untouched == 0, "a port whose cable stayed lost something");
  must_be(sums.all.most_at_unplug <= most_lost_at_unplug, "too much went with a cable");
  must_be(sums.all.out_of_order == 0, fmt::format("{} out of order", sums.all.out_of_order));
  must_be(sums.all.strange == 0, fmt::format("{} were never sent", sums.all.strange));
  must_be(sums.faulty_lines == 0, fmt::format("{} faulty lines", sums.faulty_lines));
  must_be(sums.refused == 0, fmt::format("{} not taken by the terminals", sums.refused));
  must_be(sums.same_number == 0, "a terminal came back under its old number");
  must_be(sums.wrong_opens == 0,
          fmt::format("{} ports opened too often or too seldom", sums.wrong_opens));
  must_be((sums.pluggings > 0) == plan.unplugs, "cables were (not) pulled");
  must_be(ports.early.other_descriptors == ports.late.other_descriptors, "descriptors leak");
  const double growth_MiB = ports.late.resident_MiB - ports.early.resident_MiB;
  must_be(!judge_memory || growth_MiB < most_growth_MiB, "memory grows");
  return wrong;
}

int measure(BoardPlan plan, bool judge_memory) {
  const test::Folder folder;
  plan.folder = folder.path("by-id");
  std::filesystem::create_directory(plan.folder);
  std::array<std::unique_ptr<BoardLog>, board_count> logs;
  std::array<BoardLog*, board_count> shared{};
  for (std::size_t i = 0; i < logs.size(); ++i) {
    logs.at(i) = std::make_unique<BoardLog>(plan.for_s);
    shared.at(i) = logs.at(i).get();
  }
  const int descriptors_before = open_descriptors();
  int wrong = 0;
  {
    BoardsProcess boards(plan, shared);
    Ports ports(plan);
    ports.run(boards.news(), std::min(60.0, plan.for_s / 4));
    Sums sums;
    for (int i = 0; i < board_count; ++i) {
      const auto at = static_cast<std::size_t>(i);
      add_port(i, ports.all().at(at), *logs.at(at), sums);
    }
    print_figures(sums, ports, plan);
    wrong = judge(sums, ports, plan, judge_memory);
  }
  const int descriptors_after = open_descriptors();
  figure("descriptors_before", descriptors_before, "1");
  figure("descriptors_after", descriptors_after, "1");
  if (descriptors_after == descriptors_before) return wrong;
  fmt::print(stderr, "many_ports: wrong: descriptors stay open\n");
  return wrong + 1;
}

}  // namespace
}  // namespace nestcup::bench

/// many_ports SECONDS [--no-unplug] [--sanitized]: sanitizers keep memory back, so there its growth
/// is printed only. Exit codes: 0, 1 something is not as it must be, 64 wrong usage.
int main(int count, char** words) {
  const std::vector<std::string_view> arguments(words + 1, words + count);
  const auto has = [&](std::string_view word) {
    return std::find(arguments.begin(), arguments.end(), word) != arguments.end();
  };
  nestcup::bench::BoardPlan plan;
  plan.unplugs = !has("--no-unplug");
  const std::string_view text = arguments.empty() ? "" : arguments.front();
  const auto read = std::from_chars(text.data(), text.data() + text.size(), plan.for_s);
  const bool good =
      read.ec == std::errc() && plan.for_s >= 8.0 && plan.for_s <= nestcup::bench::longest_s;
  if (!good) {
    fmt::print(stderr, "many_ports SECONDS [--no-unplug] [--sanitized]; 8 to {:g} s\n",
               nestcup::bench::longest_s);
    return 64;
  }
  try {
    return nestcup::bench::measure(plan, !has("--sanitized")) == 0 ? 0 : 1;
  } catch (const std::exception& problem) {
    fmt::print(stderr, "many_ports: {}\n", problem.what());
    return 1;
  }
}
