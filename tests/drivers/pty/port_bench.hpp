// One probe port on its own loop, with all that it told.
#pragma once

#include <algorithm>
#include <chrono>
#include <memory>
#include <stdexcept>
#include <string>
#include <vector>

#include "drivers/probe_port.hpp"

namespace nestcup::drivers::testing {

/// A bench clock that runs `speed` times faster than the machine's.
class FastClock final : public Clock {
 public:
  explicit FastClock(double speed) : speed_(speed) {}
  [[nodiscard]] TimeUs now_us() const override {
    const std::chrono::duration<double> passed = std::chrono::steady_clock::now() - start_;
    return 1'000'000'000 + to_us(passed.count() * speed_);
  }
  [[nodiscard]] TimeUs wall_us() const override { return now_us(); }
  [[nodiscard]] std::optional<bool> synchronised() const override { return std::nullopt; }
  [[nodiscard]] std::chrono::nanoseconds real_duration(TimeUs bench_us) const override {
    return std::chrono::nanoseconds(
        static_cast<std::int64_t>(static_cast<double>(bench_us) * 1e3 / speed_));
  }

 private:
  double speed_;
  std::chrono::steady_clock::time_point start_ = std::chrono::steady_clock::now();
};

inline PortSettings port_at(const std::string& device) {
  PortSettings port;
  port.name = "board";
  port.device = device;
  return port;
}

/// A port with one probe in column 1, on a loop that runs only within `run_until` and `run_for`.
class PortBench {
 public:
  /// @param speed  bench seconds a second of the machine; lower where an answer must come in time
  explicit PortBench(const PortSettings& settings, double speed = 20.0) : clock(speed) {
    ProbeSettings probe;
    probe.name = "cup";
    probe.channel.column = 1;
    PortHandlers handlers;
    handlers.on_reading = [this](std::size_t, TimeUs time_us, double temperature_degC, double) {
      times_us.push_back(time_us);
      values.push_back(temperature_degC);
    };
    handlers.on_change = [this](const PortChange& change) { changes.push_back(change.line); };
    auto made = ProbePort::make(context_, clock, settings, {probe}, std::move(handlers));
    if (!made) throw std::runtime_error(made.error().text);
    port = std::move(made).value();
  }

  /// Runs the loop until `done()`, at most `limit`. @return whether it came to that
  template <class Done>
  bool run_until(Done done, std::chrono::milliseconds limit = std::chrono::seconds(10)) {
    const auto end = std::chrono::steady_clock::now() + limit;
    while (!done() && std::chrono::steady_clock::now() < end) {
      context_.restart();
      context_.run_for(std::chrono::milliseconds(2));
    }
    return done();
  }
  void run_for(std::chrono::milliseconds time) {
    run_until([] { return false; }, time);
  }
  /// Runs the loop as a daemon does, in one go, so that its processor time can be told.
  void run_quietly(std::chrono::milliseconds time) {
    context_.restart();
    context_.run_for(time);
  }
  bool run_until_state(LineState state) {
    return run_until([&] { return port->health().line.state == state; });
  }

  [[nodiscard]] std::vector<LineState> states() const {
    std::vector<LineState> found;
    for (const auto& change : changes) found.push_back(change.state);
    return found;
  }
  [[nodiscard]] bool was_told(std::string_view words) const {
    return std::any_of(changes.begin(), changes.end(), [&](const LineChange& change) {
      return change.reason.find(words) != std::string::npos;
    });
  }

  FastClock clock;
  std::vector<TimeUs> times_us;
  std::vector<double> values;
  std::vector<LineChange> changes;

 private:
  boost::asio::io_context context_;

 public:
  std::unique_ptr<ProbePort> port;
};

}  // namespace nestcup::drivers::testing
