// What the run under way would come to if it ended now, looked at again and again while its after
// period grows.
#pragma once

#include <boost/asio/thread_pool.hpp>
#include <functional>
#include <mutex>
#include <nlohmann/json.hpp>
#include <optional>
#include <vector>

#include "core/base/uncertain.hpp"
#include "daemon/bench/run_watch.hpp"

namespace nestcup::daemon {

/// A line on the bench's axis.
struct BenchLine {
  std::vector<TimeUs> time_us;
  std::vector<double> temperature_degC;
};

struct Provisional {
  TimeUs onset_us = 0;                        ///< of which run
  TimeUs until_us = 0;                        ///< its newest reading
  double after_period_s = 0.0;                ///< so far
  std::optional<Uncertain> corrected_rise_K;  ///< nothing where it would be unusable
  TimeUs mixing_us = 0;
  TimeUs equal_area_us = 0;
  BenchLine fore_line;   ///< the foreperiod carried on to the equal-area time
  BenchLine after_line;  ///< the after period carried back to there
  /// Whether another minute makes the uncertainty smaller by a twentieth or more.
  bool going_on_pays = true;
};

/// What a finished run came to as something provisional; `before` is what it was a while ago.
[[nodiscard]] Provisional provisional_of(const FinishedRun& run, TimeUs onset_us,
                                         const std::vector<ProbeRole>& roles,
                                         const std::optional<Provisional>& before);

[[nodiscard]] nlohmann::ordered_json provisional_json(const Provisional& provisional);

/// Asks the watch for the run so far, has it analysed on a worker, and keeps what came out. Calls
/// from one thread, except where said otherwise.
class ProvisionalWatch {
 public:
  /// @param told  called on the worker's thread when there is something new
  ProvisionalWatch(RunWatch& watch, std::vector<ProbeRole> roles, std::function<void()> told);

  /// Looks again, unless the last look is not over or was a moment ago.
  void look(TimeUs now_us);
  /// What is known of the run under way; any thread.
  [[nodiscard]] std::optional<Provisional> now() const;
  /// Waits for the look that is under way; the watch must live until then.
  void stop();

 private:
  void take(const FinishedRun& run, TimeUs onset_us);

  RunWatch& watch_;
  std::vector<ProbeRole> roles_;
  std::function<void()> told_;
  mutable std::mutex mutex_;
  std::optional<Provisional> latest_;   ///< behind the mutex
  std::optional<Provisional> earlier_;  ///< behind the mutex: half a minute of after period ago
  bool looking_ = false;                ///< behind the mutex
  TimeUs next_look_us_ = 0;
  boost::asio::thread_pool worker_{1};
};

}  // namespace nestcup::daemon
