// Faults of the line at scripted times: what becomes of the frames that the board sends.
#pragma once

#include <cstdint>
#include <limits>
#include <map>
#include <string>
#include <vector>

#include "sim/board_settings.hpp"
#include "sim/random.hpp"

namespace nestcup::sim {

/// Bytes on their way.
struct Delivery {
  double due_s = 0.0;  ///< scenario time at which they arrive
  std::string bytes;
};

/// Carries frames (lines, packs, answers) through the faults of a scenario; fault_kinds.cpp says
/// what each kind does.
class FaultScript {
 public:
  FaultScript(std::vector<LineFault> faults, Protocol protocol, std::uint64_t seed);

  /// What arrives for a frame sent now. But for what is late, nothing arrives before what was sent
  /// earlier.
  /// @param question  what it answers; empty for what is sent unasked
  [[nodiscard]] std::vector<Delivery> pass(const std::string& frame, double now_s,
                                           const std::string& question = {});
  /// Whether the cable is in.
  [[nodiscard]] bool plugged_in(double now_s) const;
  /// When that changes next (s); infinity for never.
  [[nodiscard]] double next_change_s(double now_s) const;

 private:
  struct Pending {
    LineFault fault;
    int left = 0;  ///< how many frames or bursts are still to come
  };
  /// A frame as the faults so far have made it.
  struct Passage {
    std::string before;
    std::string sent;
    double delay_s = 0.0;
    bool late = false;
    int copies = 1;
    double rate_Bd = 0.0;  ///< of the copies; 0: all at once
  };

  /// When the cable is out: unplugged, or after a hang-up.
  struct Outage {
    double from_s = 0.0;
    double to_s = 0.0;
  };

  [[nodiscard]] static bool is_at_work(const Pending& pending, double now_s);
  /// The frame, or the last one to the same question while the board is frozen.
  [[nodiscard]] std::string frozen_or(const std::string& frame, double now_s,
                                      const std::string& question);
  void apply(const LineFault& fault, double now_s, Passage& passage);
  /// The frame with its bytes changed; as it is for faults of another sort.
  [[nodiscard]] std::string spoilt(const LineFault& fault, const std::string& frame);
  void hang_up(const LineFault& fault, double now_s, Passage& passage);

  std::vector<Pending> pending_;
  Protocol protocol_;
  Random random_;
  std::vector<Outage> outages_;
  std::map<std::string, std::string> last_frames_;  ///< by question
  double last_due_s_ = -std::numeric_limits<double>::infinity();
};

}  // namespace nestcup::sim
