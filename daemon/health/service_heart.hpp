// Keeps the service manager told of the bench, and gives it signs of life as long as there is proof
// of any.
#pragma once

#include <boost/asio/io_context.hpp>
#include <boost/asio/steady_timer.hpp>
#include <chrono>
#include <optional>
#include <string>

#include "daemon/base/log.hpp"
#include "daemon/bench/bench.hpp"
#include "daemon/health/system_manager.hpp"

namespace nestcup::daemon {

/// What the service manager is told; for `nestcup status`.
struct ServiceState {
  bool has_manager = false;
  std::string told;                    ///< the newest status text
  std::optional<double> watchdog_s;    ///< a sign of life is due within this time; none wanted
  std::optional<double> since_sign_s;  ///< since the last one; none so far
  std::string withheld;                ///< why none is given now; empty where they are
};

/// The bench in a line of plain words: probes that read, the run, runs kept, trouble of the store.
[[nodiscard]] std::string bench_line(Bench& bench, std::uint64_t runs);

/// Works on the io_context's thread alone, by a timer of the io_context: a loop that hangs gives no
/// sign. The other half of the proof is the recorder's thread, which moves every second, also while
/// a full disk takes nothing. Devices, notebooks and the analysis prove nothing and count for
/// nothing: a new start would not mend them.
class ServiceHeart {
 public:
  /// @param runs  in the store at the start
  ServiceHeart(boost::asio::io_context& context, const SystemManager& manager, Bench& bench,
               std::uint64_t runs, Log log);
  ServiceHeart(const ServiceHeart&) = delete;
  ServiceHeart& operator=(const ServiceHeart&) = delete;

  /// READY=1: the store is open, the doors are, and the ports have been begun with.
  void start();
  /// STOPPING=1.
  void stop();
  [[nodiscard]] ServiceState state() const;

 private:
  using Steady = std::chrono::steady_clock;

  void beat();
  void give_sign(Steady::time_point now);
  void tell_status(Steady::time_point now);
  void send(const std::string& lines);

  const SystemManager& manager_;
  Bench& bench_;
  std::uint64_t runs_;
  Log log_;
  boost::asio::steady_timer timer_;
  std::string told_;
  std::string withheld_;
  std::string unheard_;  ///< why the manager took nothing, told once
  Steady::time_point told_at_{};
  std::optional<Steady::time_point> sign_at_;
};

}  // namespace nestcup::daemon
