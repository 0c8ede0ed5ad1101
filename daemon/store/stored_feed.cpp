#include "daemon/store/stored_feed.hpp"

#include <algorithm>
#include <limits>
#include <nlohmann/json.hpp>
#include <utility>

namespace nestcup::daemon {
namespace {

/// How a stored mark was made; events of earlier versions do not say and were a person's.
FoundBy mark_source(const std::string& detail) {
  const auto json = nlohmann::json::parse(detail, nullptr, false);
  const bool says_how = json.is_object() && json.contains("how");
  const bool by_switch = says_how && json["how"] == found_by_name(FoundBy::line_signal);
  return by_switch ? FoundBy::line_signal : FoundBy::mark;
}

/// @return the runs that the follower found
std::vector<FinishedRun> feed_from(RunFollower& follower, const Past& past, TimeUs from_us,
                                   std::size_t probes) {
  const RunFollower fresh = follower;
  std::vector<FinishedRun> found;
  auto event = std::ranges::lower_bound(past.events, from_us, {}, &StoredEvent::time_us);
  const auto take_events_until = [&](TimeUs time_us) {
    for (; event != past.events.end() && event->time_us <= time_us; ++event) {
      if (event->kind == "mark") follower.mark(event->time_us, mark_source(event->detail));
      if (event->kind == "finish") (void)follower.finish();
      if (event->kind == "calibration") follower = fresh;
      while (auto run = follower.take_finished()) found.push_back(std::move(*run));
    }
  };
  for (const Reading& reading : past.readings) {
    // A probe may be one that the bench file no longer has.
    if (reading.probe >= probes || reading.time_us < from_us) continue;
    take_events_until(reading.time_us);
    follower.feed(reading);
    while (auto run = follower.take_finished()) found.push_back(std::move(*run));
  }
  take_events_until(std::numeric_limits<TimeUs>::max());
  return found;
}

}  // namespace

std::vector<FinishedRun> feed_stored(RunFollower& follower, const Past& past, std::size_t probes) {
  constexpr TimeUs earliest_us = std::numeric_limits<TimeUs>::min();
  if (!past.run) return feed_from(follower, past, earliest_us, probes);
  const RunFollower fresh = follower;
  if (past.run->behind_another) follower.begin_behind_run();
  auto found = feed_from(follower, past, earliest_us, probes);
  const auto known = std::ranges::find(
      found, past.run->last_us, [](const FinishedRun& run) { return run.readings.back().time_us; });
  if (known != found.end()) {
    found.erase(found.begin(), known + 1);
    return found;
  }
  // It was found under other settings, or its readings are not there.
  follower = fresh;
  follower.begin_behind_run();
  return feed_from(follower, past, past.run->last_us + 1, probes);
}

}  // namespace nestcup::daemon
