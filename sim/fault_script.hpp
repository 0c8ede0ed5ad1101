// Faults of the line at scripted times: what becomes of the lines that the board sends.
#pragma once

#include <cstdint>
#include <limits>
#include <string>
#include <vector>

#include "sim/random.hpp"
#include "sim/scenario.hpp"

namespace nestcup::sim {

/// Bytes on their way.
struct Delivery {
  double due_s = 0.0;  ///< scenario time at which they arrive
  std::string bytes;
};

/// Carries lines through the faults of a scenario:
/// - delay: for `for_s`, lines come `delay_s` late
/// - cut: `count` lines lose their end, line terminator included
/// - corrupt: `count` lines have a byte in four replaced by another
/// - stall: for `for_s` nothing is sent
/// - freeze: for `for_s` the last line is sent again and again
/// - garbage: `count` random bytes before the next line
/// - flood: the next line comes `count` times at once
/// - unplug: the cable is out for `for_s` (0: for ever)
class FaultScript {
 public:
  FaultScript(std::vector<LineFault> faults, std::uint64_t seed);

  /// What arrives for a data line sent now, in order and never before what was sent earlier.
  [[nodiscard]] std::vector<Delivery> pass(const std::string& line, double now_s);
  /// Whether the cable is in.
  [[nodiscard]] bool plugged_in(double now_s) const;
  /// When that changes next (s); infinity for never.
  [[nodiscard]] double next_change_s(double now_s) const;

 private:
  struct Pending {
    LineFault fault;
    int left = 0;  ///< how many lines or bursts are still to come
  };

  [[nodiscard]] std::string garbage(int count);
  void cut(std::string& line);
  void corrupt(std::string& line);

  std::vector<Pending> pending_;
  Random random_;
  std::string last_line_;
  double last_due_s_ = -std::numeric_limits<double>::infinity();
};

}  // namespace nestcup::sim
