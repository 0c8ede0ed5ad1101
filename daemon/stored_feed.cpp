#include "daemon/stored_feed.hpp"

#include <limits>
#include <nlohmann/json.hpp>

namespace nestcup::daemon {
namespace {

/// How a stored mark was made; events of earlier versions do not say and were a person's.
FoundBy mark_source(const std::string& detail) {
  const auto json = nlohmann::json::parse(detail, nullptr, false);
  const bool says_how = json.is_object() && json.contains("how");
  const bool by_switch = says_how && json["how"] == found_by_name(FoundBy::line_signal);
  return by_switch ? FoundBy::line_signal : FoundBy::mark;
}

}  // namespace

void feed_stored(RunFollower& follower, const RunFollower& fresh,
                 const std::vector<Reading>& readings, const std::vector<StoredEvent>& events,
                 std::size_t probes) {
  auto event = events.begin();
  const auto take_events_until = [&](TimeUs time_us) {
    for (; event != events.end() && event->time_us <= time_us; ++event) {
      if (event->kind == "mark") follower.mark(event->time_us, mark_source(event->detail));
      if (event->kind == "finish") (void)follower.finish();
      if (event->kind == "calibration") follower = fresh;
    }
  };
  for (const Reading& reading : readings) {
    if (reading.probe >= probes) continue;  // a probe that the bench file no longer has
    take_events_until(reading.time_us);
    follower.feed(reading);
  }
  take_events_until(std::numeric_limits<TimeUs>::max());
}

}  // namespace nestcup::daemon
