// Readings that are alike: held values, and boards that average.
#include "core/analysis/readings/alike_readings.hpp"

#include <cmath>

#include "core/analysis/readings/counted_readings.hpp"
#include "core/analysis/readings/held_values.hpp"
#include "tests/analysis/newton_cup.hpp"
#include "tests/bench/firmware.hpp"
#include "tests/bench/trial_result.hpp"
#include "tests/catch.hpp"

using namespace nestcup;
using bench::Firmware;

namespace {

/// Two minutes of drift, five readings a second.
Curve two_minutes(double sd_K, double step_K, std::uint64_t seed) {
  NewtonCup cup;
  cup.releases.clear();
  cup.interval_s = 0.2;
  cup.end_s = 120.0;
  return with_noise(newton_curve(cup), sd_K, step_K, seed);
}

Curve worked_on(Curve curve, Firmware firmware) {
  bench::work_on(firmware, curve);
  return curve;
}

/// What the board sends of a mixing of 3 K.
Curve mixing_by(Firmware firmware, std::uint64_t seed) {
  NewtonCup cup;
  cup.releases = {{3.0, 4.0}};
  cup.lag_s = 2.5;
  return worked_on(with_noise(newton_curve(cup), 0.02, 0.0, seed), firmware);
}

}  // namespace

TEST_CASE("held values count once, where they came first") {
  const Curve all = two_minutes(0.02, 0.0, 3);
  const Curve held = worked_on(all, Firmware::holds);
  CHECK(times_said(held) == 4);
  const Curve news = without_repeats(held, 4);
  REQUIRE(news.size() >= all.size() / 4);
  REQUIRE(news.size() <= all.size() / 4 + 2);
  for (const Point& point : news) {
    const auto i = static_cast<std::size_t>(std::lround(point.time_s / 0.2));
    CHECK(i % 4 == 0);
    CHECK(std::abs(point.temperature_degC - all[i].temperature_degC) < 0.0051);
  }
}

TEST_CASE("a converter's pace that is no multiple of the readings' is seen, too") {
  const Curve all = two_minutes(0.02, 0.0, 5);
  Curve curve = all;
  for (Point& point : curve) {
    const auto converted = static_cast<std::size_t>(std::floor(point.time_s / 0.75) * 0.75 / 0.2);
    point.temperature_degC = all[converted].temperature_degC;
  }
  const std::size_t conversions = 160;
  const std::size_t news = without_repeats(curve, times_said(curve)).size();
  CHECK(news >= conversions - 2);
  CHECK(news <= conversions + 16);
}

TEST_CASE("readings that are no repeats all count, digits that stand still among them") {
  const double step_K = GENERATE(0.0, 0.01, 0.0625, 0.1);
  const double sd_K = GENERATE(0.002, 0.01, 0.05);
  for (std::uint64_t seed = 1; seed <= 20; ++seed) {
    const Curve curve = two_minutes(sd_K, step_K, seed);
    INFO(step_K << " " << sd_K << " " << seed);
    CHECK(times_said(curve) == 1);
  }
}

TEST_CASE("the staircase of a fast drift is not held, however even its steps") {
  NewtonCup cup;
  cup.releases.clear();
  cup.interval_s = 0.2;
  cup.start_degC = cup.rest_degC + 20.0;
  const Curve curve = with_noise(newton_curve(cup), 0.0002, 0.01, 4);
  CHECK(times_said(curve) == 1);
  CHECK(counted_readings(curve, 150.0).curve.size() == curve.size());
}

TEST_CASE("readings of their own are not taken apart but for chance, those of averages are") {
  int taken = 0;
  double sum = 0.0;
  for (std::uint64_t seed = 1; seed <= 100; ++seed) {
    taken += readings_apart(two_minutes(0.02, seed % 2 == 0 ? 0.01 : 0.0, seed), {}) > 1;
    const Curve means = worked_on(two_minutes(0.05, 0.0, seed), Firmware::means);
    const std::size_t apart = readings_apart(means, {});
    CHECK(apart >= 3);
    sum += static_cast<double>(apart);
  }
  CHECK(taken <= 1);
  CHECK(sum / 100.0 >= 4.5);
  CHECK(sum / 100.0 <= 8.0);
}

TEST_CASE("digits that hide the noise are not alike") {
  CHECK(readings_apart(two_minutes(0.005, 0.0625, 2), {}) == 1);
  CHECK(readings_apart(two_minutes(0.01, 0.1, 2), {}) == 1);
  CHECK(readings_apart({}, {}) == 1);
}

TEST_CASE("every so manieth reading is taken, the newest among them") {
  const Curve curve = two_minutes(0.02, 0.0, 1);
  const Curve taken = taken_apart(curve, 7);
  CHECK(taken.size() == (curve.size() + 6) / 7);
  CHECK(taken.back().time_s == curve.back().time_s);
  CHECK(taken_apart(curve, 1).size() == curve.size());
  CHECK(taken_apart({}, 3).empty());
}

TEST_CASE("what counts of a punctual board's readings is all of them") {
  NewtonCup cup;
  const Curve curve = with_noise(newton_curve(cup), 0.01, 0.01, 9);
  const CountedReadings counted = counted_readings(curve, 90.0);
  CHECK(counted.curve.size() == curve.size());
  CHECK(counted.uneven_K == 0.0);
}

TEST_CASE("mixings are found with boards that average or hold, and their rise is right", "[many]") {
  const Firmware firmware =
      GENERATE(Firmware::holds, Firmware::means, Firmware::smooths, Firmware::middles);
  int within_3u = 0;
  for (std::uint64_t seed = 1; seed <= 10; ++seed) {
    const auto runs = bench::followed_runs(mixing_by(firmware, seed));
    REQUIRE(runs.size() == 1);
    const RunAnalysis run = analyse_run(runs[0].input);
    REQUIRE(run.usable());
    CHECK(run.rise.u_K < 0.05);
    within_3u += std::abs(run.rise.value_K - 3.0) < 3.0 * run.rise.u_K;
  }
  CHECK(within_3u >= 9);
}
