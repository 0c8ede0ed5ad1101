// The benches of a course's database, read now and then for whoever looks at the class.
#pragma once

#include <atomic>
#include <boost/asio/thread_pool.hpp>
#include <chrono>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <string_view>

#include "core/sheet/bench_file.hpp"
#include "daemon/base/log.hpp"
#include "daemon/control/router.hpp"

namespace nestcup::daemon {

/// One thread of its own, so that a server which does not answer keeps nobody else waiting. Nothing
/// is asked of the server while nobody looks.
class ClassWall {
 public:
  ClassWall(ClassSettings settings, Log log);
  ClassWall(const ClassWall&) = delete;
  ClassWall& operator=(const ClassWall&) = delete;
  ~ClassWall();

  /// Answers with the class as it was at most a few seconds ago; where the database is not there,
  /// as it was read last, and with the reason in "problem".
  void answer(const Reply& reply, bool hidden);
  /// Ends what is under way; answers that are not out by then are not given.
  void stop();

 private:
  /// As it was read last; with results and without.
  struct Seen {
    std::optional<nlohmann::ordered_json> sheets;
    std::string as_of;    ///< RFC 3339; empty before anything was read
    std::string problem;  ///< why the last try failed; empty where it did not
    std::chrono::steady_clock::time_point tried{};
  };

  void serve(const Reply& reply, bool hidden);
  void read_anew(Seen& seen, bool hidden);
  void note(Seen& seen, const std::string& problem) const;

  ClassSettings settings_;
  Log log_;
  std::map<bool, Seen> seen_;  ///< by whether results are hidden; the thread's alone
  std::atomic<bool> stopping_{false};
  std::atomic<int> waiting_{0};
  boost::asio::thread_pool thread_{1};
};

}  // namespace nestcup::daemon
