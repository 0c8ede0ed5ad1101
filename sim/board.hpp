// The simulated board on its pseudo-terminal: speaks, is asked, is reset, is unplugged.
#pragma once

#include <deque>
#include <functional>
#include <memory>
#include <optional>
#include <string>

#include "core/base/clock.hpp"
#include "core/base/result.hpp"
#include "sim/bench.hpp"
#include "sim/electronics.hpp"
#include "sim/fault_script.hpp"
#include "sim/firmware.hpp"
#include "sim/pty.hpp"

namespace nestcup::sim {

/// How a board is run.
struct BoardOptions {
  std::string link;  ///< lasting path of the port
  std::uint64_t seed = 1;
  bool wait_open = false;  ///< scenario time starts when the port is first opened
  bool keep_open = false;  ///< goes on after the scenario's end
  /// Called once, when scenario time starts, with the Unix time (us); a failure ends the run.
  std::function<Result<void>(TimeUs)> on_start;
};

/// A board. Its readings in streaming mode are those of simulate() with the same seed, whoever
/// listens when.
class Board {
 public:
  /// @param clock  runs at the scenario's speed; must outlive the board
  Board(const Scenario& scenario, BoardOptions options, const Clock& clock);

  /// Runs until the scenario ends or `stop_fd` becomes readable. The link is gone afterwards.
  /// @errors cannot_create: no pseudo-terminal or no link; whatever on_start says
  [[nodiscard]] Result<void> run(int stop_fd);

 private:
  [[nodiscard]] double now_s() const;
  [[nodiscard]] Result<void> start();
  [[nodiscard]] Result<void> plug_in();
  void unplug();
  /// Notices that the port was opened or closed, and takes requests.
  void watch_port(double now_s);
  void finish_boot(double now_s);
  void convert_until(double now_s);
  /// Fresh measurements of all channels.
  [[nodiscard]] Report measure(double at_s);
  void listen(double now_s);
  void send_unasked(const Report& report);
  /// Sends a frame through the line's faults.
  void send(const std::string& frame, double at_s, const std::string& question);
  /// Keeps bytes until they are due.
  void put_on_the_way(Delivery delivery);
  void deliver(double now_s);
  /// Waits for the next thing to do; false when told to stop.
  [[nodiscard]] bool wait(int stop_fd, double now_s) const;
  [[nodiscard]] double next_deed_s(double now_s) const;

  Scenario scenario_;
  BoardOptions options_;
  const Clock& clock_;
  Bench bench_;
  Electronics electronics_;
  FaultScript faults_;
  std::unique_ptr<Firmware> firmware_;
  Random junk_;
  std::optional<Pty> pty_;
  std::optional<DeviceLink> link_;
  std::optional<TimeUs> start_us_;  ///< scenario time 0 on the clock
  bool open_ = false;
  std::optional<double> boot_end_s_;  ///< while the board starts
  double up_since_s_ = 0.0;
  double next_comment_s_ = 0.0;
  std::int64_t next_reading_ = 0;
  std::deque<Delivery> on_the_way_;
};

}  // namespace nestcup::sim
