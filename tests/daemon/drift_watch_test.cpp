#include "daemon/bench/drift_watch.hpp"

#include <cmath>
#include <random>

#include "core/analysis/readings/line_fit.hpp"
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
  CHECK_FALSE(watch.drift().K_per_min);
  feed(watch, 0.0, 18.0, [](double) { return 21.0; });
  CHECK_FALSE(watch.drift().K_per_min);
  CHECK_FALSE(watch.drift().steady_since_us);
  watch.take(to_us(18.0), 21.0);
  REQUIRE(watch.drift().K_per_min);
  CHECK(std::abs(*watch.drift().K_per_min) < 1e-9);
  CHECK(watch.drift().steady_since_us == to_us(18.0));
}

TEST_CASE("the drift is the slope of the last half minute, in K per min") {
  DriftWatch watch;
  feed(watch, 0.0, 60.0, [](double) { return 21.0; });
  feed(watch, 60.0, 100.0, [](double t) { return 21.0 + (t - 60.0) * 0.3 / 60.0 + scatter(t); });
  REQUIRE(watch.drift().K_per_min);
  CHECK(std::abs(*watch.drift().K_per_min - 0.3) < 0.03);
  CHECK_FALSE(watch.drift().steady_since_us);
}

TEST_CASE("steady keeps its beginning while it lasts, and ends with a rise") {
  DriftWatch watch;
  feed(watch, 0.0, 60.0, [](double t) { return 21.0 + scatter(t); });
  REQUIRE(watch.drift().steady_since_us);
  const TimeUs since = *watch.drift().steady_since_us;
  feed(watch, 60.0, 90.0, [](double t) { return 21.0 + scatter(t); });
  CHECK(watch.drift().steady_since_us == since);
  feed(watch, 90.0, 95.0, [](double t) { return 21.0 + (t - 90.0); });
  CHECK_FALSE(watch.drift().steady_since_us);
  feed(watch, 95.0, 160.0, [](double t) { return 26.0 + scatter(t); });
  REQUIRE(watch.drift().steady_since_us);
  CHECK(*watch.drift().steady_since_us > to_us(95.0));
}

TEST_CASE("a probe that scatters widely is not steady, though it does not drift") {
  DriftWatch watch;
  feed(watch, 0.0, 90.0, [](double t) { return 21.0 + 12.0 * scatter(t); });
  REQUIRE(watch.drift().K_per_min);
  CHECK(std::abs(*watch.drift().K_per_min) < 0.1);
  CHECK_FALSE(watch.drift().steady_since_us);
}

TEST_CASE("a gap begins it anew") {
  DriftWatch watch;
  feed(watch, 0.0, 60.0, [](double) { return 21.0; });
  REQUIRE(watch.drift().steady_since_us);
  watch.take(to_us(200.0), 21.0);
  CHECK_FALSE(watch.drift().K_per_min);
  CHECK_FALSE(watch.drift().steady_since_us);
}

TEST_CASE("the running line is the line through the last readings, for days") {
  std::mt19937_64 random(4711);
  std::normal_distribution<double> noise(0.0, 0.01);
  std::uniform_int_distribution<TimeUs> step(80'000, 120'000);
  RunningLine line;
  Curve window;
  TimeUs time_us = 1'780'000'000'000'000;
  const TimeUs begun_us = time_us;
  for (int i = 0; i < 200'000; ++i, time_us += step(random)) {
    const double seconds = to_s(time_us - begun_us);
    const double degC = 21.0 + 30.0 * std::sin(seconds / 900.0) + noise(random);
    line.push(time_us, degC);
    line.drop_before(time_us - 30 * us_per_s);
    window.push_back({seconds, degC});
    while (window.front().time_s < seconds - 30.0) window.erase(window.begin());
    if (i % 97 != 0 || window.size() < 3) continue;
    REQUIRE(line.size() == window.size());
    const LineFit fit = fit_line(window);
    REQUIRE(std::abs(line.slope_K_per_s() - fit.slope_K_per_s) < 1e-9);
    REQUIRE(std::abs(line.sd_K() - fit.sd_K) < 1e-6);
  }
}
