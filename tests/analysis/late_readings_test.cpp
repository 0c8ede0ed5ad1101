// Readings that come in a bunch count at their own times, and no others are touched.
#include "core/analysis/readings/late_readings.hpp"

#include <algorithm>
#include <cmath>

#include "tests/analysis/provoked.hpp"
#include "tests/catch.hpp"

using namespace nestcup;
using Catch::Matchers::WithinAbs;

namespace {

constexpr double pace_s = 0.5;

/// Readings at an even pace, each another value.
Curve paced(std::size_t count) {
  Curve curve;
  for (std::size_t i = 0; i < count; ++i) {
    const double number = static_cast<double>(i);
    curve.push_back({pace_s * number, 20.0 + 0.1 * number});
  }
  return curve;
}

/// What is due between comes at the end.
Curve held_between(Curve curve, double from_s, double to_s) {
  double came_s = to_s;
  for (Point& point : curve) {
    if (point.time_s < from_s || point.time_s >= to_s) continue;
    point.time_s = came_s;
    came_s += 1e-4;
  }
  return curve;
}

void check_untouched(const Curve& curve) {
  const InTheirTime out = in_their_time(curve);
  CHECK(out.late.put_back + out.late.left_out == 0);
  REQUIRE(out.curve.size() == curve.size());
  for (std::size_t i = 0; i < curve.size(); ++i) CHECK(out.curve[i].time_s == curve[i].time_s);
}

}  // namespace

TEST_CASE("what was held back is put back to when it was taken") {
  const Curve punctual = paced(600);
  const double from_s = GENERATE(20.1, 33.4);
  const double for_s = GENERATE(0.7, 1.2, 4.9, 30.0);
  const InTheirTime out = in_their_time(held_between(punctual, from_s, from_s + for_s));
  REQUIRE(out.curve.size() == punctual.size());
  for (std::size_t i = 0; i < punctual.size(); ++i) {
    CHECK_THAT(out.curve[i].time_s, WithinAbs(punctual[i].time_s, 1e-9));
    CHECK(out.curve[i].temperature_degC == punctual[i].temperature_degC);
  }
  CHECK(static_cast<double>(out.late.put_back) >= std::floor(for_s / pace_s));
  CHECK(out.late.left_out == 0);
  CHECK_THAT(out.late.from_s, WithinAbs(from_s, pace_s));
  CHECK_THAT(out.late.longest_s, WithinAbs(for_s, pace_s));
}

TEST_CASE("of a bunch with losses nobody knows when they were taken") {
  Curve curve = held_between(paced(200), 20.1, 23.6);
  const Curve whole = curve;
  curve.erase(curve.begin() + 43, curve.begin() + 45);
  const InTheirTime out = in_their_time(curve);
  CHECK(out.late.put_back == 0);
  CHECK(out.late.left_out == 5);
  REQUIRE(out.curve.size() == curve.size() - 5);
  CHECK(out.curve[40].time_s == whole[40].time_s);
  CHECK(out.curve[41].time_s == whole[48].time_s);
}

TEST_CASE("two bunches are told by the first and the longest") {
  const Curve curve = held_between(held_between(paced(200), 20.1, 21.6), 40.1, 43.1);
  const LateReadings late = in_their_time(curve).late;
  CHECK(late.put_back == 9);
  CHECK_THAT(late.from_s, WithinAbs(20.0, 1e-9));
  CHECK_THAT(late.longest_s, WithinAbs(3.1, 1e-9));
}

TEST_CASE("gaps, another board's phase, late stamps and notes by hand stay as they are") {
  Curve curve = paced(200);
  SECTION("nothing held back") {}
  SECTION("readings that never came") {
    curve.erase(curve.begin() + 50, curve.begin() + 60);
  }
  SECTION("plugged in again, in another phase") {
    curve.erase(curve.begin() + 50, curve.begin() + 60);
    for (std::size_t i = 50; i < curve.size(); ++i) curve[i].time_s += 0.23;
  }
  SECTION("one stamp that is a little late") {
    curve[50].time_s += 0.09;
  }
  SECTION("a bunch that has not ended yet") {
    curve = held_between(curve, 97.1, 100.0);
    curve.back().time_s += 1e-3;
  }
  SECTION("uneven stamps") {
    for (std::size_t i = 0; i < curve.size(); ++i) curve[i].time_s += i % 3 == 0 ? 0.3 : 0.0;
  }
  SECTION("somebody who missed a minute mark and notes when") {
    for (Point& point : curve) point.time_s *= 40.0;
    curve[50].time_s += 17.0;
  }
  SECTION("no readings") {
    curve.clear();
  }
  check_untouched(curve);
}

TEST_CASE("a hub that holds readings back around the pour costs neither the run nor its rise",
          "[many]") {
  const auto rise = [](const sim::Scenario& scenario) {
    const auto runs = analyses_of(scenario, 3);
    REQUIRE(runs.size() == 1);
    return runs[0].rise;
  };
  const RiseEstimate punctual = rise(warm_water());
  for (const double for_s : {0.7, 1.3, 2.6, 5.0}) {
    for (double at_s = 98.0; at_s < 112.0; at_s += 1.9) {
      INFO("from " << at_s << " s on for " << for_s << " s");
      sim::Scenario scenario = warm_water();
      scenario.faults = {{at_s, sim::LineFaultKind::delay, 0.5, for_s}};
      const RiseEstimate held = rise(scenario);
      CHECK_THAT(held.value_K, WithinAbs(punctual.value_K, 0.5 * punctual.u_K));
      CHECK_THAT(held.u_K, WithinAbs(punctual.u_K, 0.2 * punctual.u_K));
    }
  }
}
