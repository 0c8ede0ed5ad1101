// Lets old readings go, a little at a time, and only while no run is under way. On the
// io_context's thread; each step is a job of the recorder, which alone writes.
#pragma once

#include <boost/asio/io_context.hpp>
#include <boost/asio/steady_timer.hpp>
#include <cstdint>
#include <functional>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>

#include "core/base/clock.hpp"
#include "core/store/retention.hpp"
#include "daemon/store/recorder.hpp"

namespace nestcup::daemon {

struct HousekeepingStatus {
  std::uint64_t removed_readings = 0;  ///< since the start
  std::uint64_t pages_given_back = 0;  ///< to the file system
  double longest_step_ms = 0.0;
  std::string held;  ///< why nothing is removed for now; empty where it goes on
};

class Housekeeping {
 public:
  struct Parts {
    boost::asio::io_context& context;
    const Clock& clock;
    Recorder& recorder;
    std::optional<double> keep_days{};       ///< nothing: readings stay for ever
    std::optional<TimeUs> last_before_us{};  ///< the newest reading before this start
    std::function<bool()> is_busy{};         ///< a run is under way
    std::function<void(std::string_view)> log{};
  };

  explicit Housekeeping(Parts parts);
  Housekeeping(const Housekeeping&) = delete;
  Housekeeping& operator=(const Housekeeping&) = delete;

  /// The recorder must be stopped before this object goes.
  void start();
  /// Any thread.
  [[nodiscard]] HousekeepingStatus status() const;

 private:
  void look_in(std::chrono::nanoseconds wait);
  void look();
  [[nodiscard]] std::string why_not() const;
  /// One step, on the writer's thread. @return whether there is more to do
  Result<bool> step(Store& store, TimeUs before_us);
  void finished(const Result<bool>& more);
  void tell_of_removed();

  Parts parts_;
  TimeUs started_us_;
  boost::asio::steady_timer timer_;
  std::optional<Retention> pass_;  ///< of the writer's thread alone
  std::uint64_t told_ = 0;         ///< removed readings that the log knows of
  std::optional<TimeUs> told_us_;
  mutable std::mutex mutex_;
  HousekeepingStatus status_;  ///< behind the mutex
};

}  // namespace nestcup::daemon
