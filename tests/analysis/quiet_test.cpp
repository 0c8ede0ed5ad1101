// Steps and returns: what the judgement of an onset is made of.
#include <cmath>

#include "core/analysis/mixing/return_to_line.hpp"
#include "core/analysis/mixing/step_scan.hpp"
#include "tests/analysis/newton_cup.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

/// A drift of 1 mK/s with a step at 100 s, read every 20 s.
Curve stepped(double step_K, std::uint64_t seed) {
  Curve curve;
  for (int i = 0; i < 20; ++i) {
    const double time_s = 20.0 * i;
    curve.push_back({time_s, 21.0 + 1e-3 * time_s + (time_s > 100.0 ? step_K : 0.0)});
  }
  return with_noise(curve, 0.02, 0.001, seed);
}

LineFit level_line(double degC) {
  LineFit line;
  line.at_reference_degC = degC;
  return line;
}

}  // namespace

TEST_CASE("a step of ten times the scatter is found where it is, and none where there is none") {
  for (std::uint64_t seed = 1; seed <= 20; ++seed) {
    const Noise noise{0.02, 0.001};
    const double sign = seed % 2 == 0 ? 1.0 : -1.0;
    const auto found = find_step(stepped(0.2 * sign, seed), noise);
    REQUIRE(found);
    CHECK_THAT(found->onset_s, WithinAbs(120.0, 20.0));
    CHECK_THAT(found->step_K, WithinAbs(0.2 * sign, 0.06));
    CHECK_FALSE(find_step(stepped(0.0, seed), noise));
  }
}

TEST_CASE("a large step is found behind three readings, though the drift behind it is another") {
  Curve curve;
  for (double time_s = 0.0; time_s < 220.0; time_s += 20.0) {
    const double warm_degC = 38.0 - 7e-3 * (time_s - 60.0);  // leaks at 4e-4 per s
    curve.push_back({time_s, time_s < 50.0 ? 21.0 + 2e-4 * time_s : warm_degC});
  }
  for (std::uint64_t seed = 1; seed <= 10; ++seed) {
    const auto found = find_step(with_noise(curve, 0.02, 0.01, seed), {0.02, 0.01});
    REQUIRE(found);
    CHECK(found->onset_s == 60.0);
    CHECK_THAT(found->step_K, WithinAbs(17.1, 0.5));
  }
}

TEST_CASE("a drift that leaks away is no step") {
  NewtonCup cup;
  cup.releases.clear();
  cup.rest_degC = 40.0;
  cup.interval_s = 10.0;
  cup.end_s = 400.0;
  cup.rate_per_s = cup.after_rate_per_s = 8e-4;
  CHECK_FALSE(find_step(with_noise(newton_curve(cup), 0.01, 0.001, 5), {0.01, 0.001}));
}

TEST_CASE("a probe that is back on its line has come back; one that stays away has not") {
  WatchedLine line;
  line.fit = level_line(21.0);
  line.noise = {0.01, 0.001};
  Curve curve;
  for (double time_s = 0.0; time_s < 90.0; time_s += 1.0) {
    curve.push_back({time_s, time_s < 40.0 ? 23.0 : 21.0});
  }
  CHECK(came_back(line, 0, with_noise(curve, 0.01, 0.001, 1)));
  for (Point& point : curve) point.temperature_degC = point.time_s < 40.0 ? 23.0 : 21.4;
  CHECK_FALSE(came_back(line, 0, with_noise(curve, 0.01, 0.001, 1)));
  // A line that is not known that far says nothing.
  line.fit.u_at_reference_K = 0.4;
  CHECK_FALSE(came_back(line, 0, with_noise(curve, 0.01, 0.001, 1)));
}

TEST_CASE("a probe of which few readings pass by its line has not come back") {
  WatchedLine line;
  line.fit = level_line(49.8);
  line.noise = {0.03, 0.001};
  // Out of a bath, through air that cools it further: the last three have their median on the line.
  const Curve lifted{{0.0, 60.2},   {20.0, 75.1},  {40.0, 82.6}, {60.0, 82.4},
                     {80.0, 64.17}, {100.0, 49.8}, {120.0, 39.4}};
  CHECK_FALSE(came_back(line, 0, lifted));
  // Slowly past it: three readings do not tell how fast.
  line.fit = level_line(25.1);
  line.noise = {0.0, 0.1};
  const Curve past{{0.0, 26.3},  {10.0, 26.8}, {20.0, 26.3}, {30.0, 25.8},
                   {40.0, 25.2}, {50.0, 25.0}, {60.0, 25.2}};
  CHECK_FALSE(came_back(line, 0, past));
}

TEST_CASE("a stay is remembered once it was left, and not while it lasts") {
  const Noise noise{0.01, 0.001};
  Curve curve;
  for (double time_s = 0.0; time_s < 30.0; time_s += 1.0) curve.push_back({time_s, 23.0});
  LastStay stay;
  stay.see(0, with_noise(curve, 0.01, 0.001, 1), noise);
  CHECK_FALSE(stay.left());
  for (Point& point : curve) point.temperature_degC += std::max(0.0, point.time_s - 25.0);
  stay.see(0, with_noise(curve, 0.01, 0.001, 1), noise);
  REQUIRE(stay.left());
  CHECK_THAT(stay.left()->fit.at(15.0), WithinAbs(23.0, 0.01));
  stay.forget();
  CHECK_FALSE(stay.left());
}

TEST_CASE("a steep line that has gone on by half the way since says nothing of a return") {
  WatchedLine line;
  line.fit = level_line(23.0);
  line.fit.slope_K_per_s = -0.014;
  line.noise = {0.01, 0.001};
  for (const double away_K : {1.5, 4.0}) {
    Curve curve;
    for (double time_s = 0.0; time_s < 100.0; time_s += 1.0) {
      curve.push_back({time_s, 23.0 - 0.014 * time_s + (time_s < 60.0 ? away_K : 0.0)});
    }
    CHECK(came_back(line, 0, with_noise(curve, 0.01, 0.001, 1)) == (away_K > 3.0));
    FormerLines lines;
    lines.left(line, 0);
    const Curve settled{{60.0, 22.16}, {75.0, 21.95}, {90.0, 21.74}, {105.0, 21.53}};
    CHECK(lines.lead_back(0, settled, 21.845 + away_K) == (away_K > 3.0));
  }
}
