#include "daemon/drift_watch.hpp"

#include <cmath>

#include "tests/catch.hpp"

using namespace nestcup;
using namespace nestcup::daemon;

namespace {

/// Readings every half second from `from_s` on, of which `course` says the temperature.
template <class Course>
void feed(DriftWatch& watch, double from_s, double to_s, Course course) {
  for (double time_s = from_s; time_s < to_s; time_s += 0.5) {
    watch.take(to_us(time_s), course(time_s));
  }
}

double scatter(double time_s) {
  return 0.01 * std::sin(37.0 * time_s);
}

}  // namespace

TEST_CASE("there is no drift to tell before half a minute is nearly seen") {
  DriftWatch watch;
  CHECK_FALSE(watch.drift_K_per_min());
  feed(watch, 0.0, 18.0, [](double) { return 21.0; });
  CHECK_FALSE(watch.drift_K_per_min());
  CHECK_FALSE(watch.steady_since_us());
  watch.take(to_us(18.0), 21.0);
  REQUIRE(watch.drift_K_per_min());
  CHECK(std::abs(*watch.drift_K_per_min()) < 1e-9);
  CHECK(watch.steady_since_us() == to_us(18.0));
}

TEST_CASE("the drift is the slope of the last half minute, in K per min") {
  DriftWatch watch;
  feed(watch, 0.0, 60.0, [](double) { return 21.0; });
  feed(watch, 60.0, 100.0, [](double t) { return 21.0 + (t - 60.0) * 0.3 / 60.0 + scatter(t); });
  REQUIRE(watch.drift_K_per_min());
  CHECK(std::abs(*watch.drift_K_per_min() - 0.3) < 0.03);
  CHECK_FALSE(watch.steady_since_us());
}

TEST_CASE("steady keeps its beginning while it lasts, and ends with a rise") {
  DriftWatch watch;
  feed(watch, 0.0, 60.0, [](double t) { return 21.0 + scatter(t); });
  REQUIRE(watch.steady_since_us());
  const TimeUs since = *watch.steady_since_us();
  feed(watch, 60.0, 90.0, [](double t) { return 21.0 + scatter(t); });
  CHECK(watch.steady_since_us() == since);
  feed(watch, 90.0, 95.0, [](double t) { return 21.0 + (t - 90.0); });
  CHECK_FALSE(watch.steady_since_us());
  feed(watch, 95.0, 160.0, [](double t) { return 26.0 + scatter(t); });
  REQUIRE(watch.steady_since_us());
  CHECK(*watch.steady_since_us() > to_us(95.0));
}

TEST_CASE("a probe that scatters widely is not steady, though it does not drift") {
  DriftWatch watch;
  feed(watch, 0.0, 90.0, [](double t) { return 21.0 + 12.0 * scatter(t); });
  REQUIRE(watch.drift_K_per_min());
  CHECK(std::abs(*watch.drift_K_per_min()) < 0.1);
  CHECK_FALSE(watch.steady_since_us());
}

TEST_CASE("a gap begins it anew") {
  DriftWatch watch;
  feed(watch, 0.0, 60.0, [](double) { return 21.0; });
  REQUIRE(watch.steady_since_us());
  watch.take(to_us(200.0), 21.0);
  CHECK_FALSE(watch.drift_K_per_min());
  CHECK_FALSE(watch.steady_since_us());
}
