// What one watcher of the bench has still to be told. Whoever keeps up gets every reading; whoever
// does not gets the newest one of each probe, and is told that readings were left out; events are
// kept in order until there are too many.
#pragma once

#include <cstddef>
#include <deque>
#include <memory>
#include <optional>
#include <string>

namespace nestcup::daemon {

/// One message as it goes over the line; shared by all who get it.
using StreamText = std::shared_ptr<const std::string>;

class Backlog {
 public:
  static constexpr std::size_t most_readings = 8;  ///< messages of readings that wait at most
  static constexpr std::size_t most_events = 256;

  void readings(StreamText text);
  /// Takes the place of an older one that waits still.
  void state(StreamText text);
  void event(StreamText text);

  /// More events wait than are kept: this watcher is to be sent away.
  [[nodiscard]] bool is_overrun() const { return overrun_; }
  /// Whether readings were left out since the last message of readings.
  [[nodiscard]] bool is_behind() const { return behind_; }
  [[nodiscard]] bool has_next() const;
  /// The next message: readings before events, the state last.
  /// @param newest  stands for all readings where some were left out
  [[nodiscard]] StreamText next(const StreamText& newest);

 private:
  std::deque<StreamText> readings_;
  std::deque<StreamText> events_;
  StreamText state_;
  bool behind_ = false;
  bool overrun_ = false;
};

}  // namespace nestcup::daemon
