#include "daemon/live/backlog.hpp"

#include "tests/catch.hpp"

using namespace nestcup::daemon;

namespace {

StreamText text(const std::string& words) {
  return std::make_shared<const std::string>(words);
}

std::string next(Backlog& backlog) {
  REQUIRE(backlog.has_next());
  return *backlog.next(backlog.is_behind() ? text("newest") : nullptr);
}

}  // namespace

TEST_CASE("a watcher who keeps up gets everything, readings before events, the state last") {
  Backlog backlog;
  CHECK_FALSE(backlog.has_next());
  backlog.state(text("old state"));
  backlog.event(text("mark"));
  backlog.readings(text("one"));
  backlog.readings(text("two"));
  backlog.state(text("state"));
  CHECK(next(backlog) == "one");
  CHECK(next(backlog) == "two");
  CHECK(next(backlog) == "mark");
  CHECK(next(backlog) == "state");
  CHECK_FALSE(backlog.has_next());
}

TEST_CASE("a watcher who is slow gets the newest readings, and every event") {
  Backlog backlog;
  backlog.event(text("mark"));
  for (std::size_t i = 0; i < 5 * Backlog::most_readings; ++i) backlog.readings(text("old"));
  CHECK(backlog.is_behind());
  CHECK(next(backlog) == "newest");
  CHECK_FALSE(backlog.is_behind());
  CHECK(next(backlog) == "mark");
  backlog.readings(text("later"));
  CHECK(next(backlog) == "later");
  CHECK_FALSE(backlog.has_next());
}

TEST_CASE("too many events are not kept, and that is known") {
  Backlog backlog;
  for (std::size_t i = 0; i < Backlog::most_events; ++i) backlog.event(text("mark"));
  CHECK_FALSE(backlog.is_overrun());
  backlog.event(text("one too many"));
  CHECK(backlog.is_overrun());
}
