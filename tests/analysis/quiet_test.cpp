// Steps, returns and carried probes: what the judgement of an onset is made of.
#include <cmath>

#include "core/analysis/carried_probe.hpp"
#include "core/analysis/return_to_line.hpp"
#include "core/analysis/step_scan.hpp"
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

/// Off a level line at 100 s, slowly in air for 6 s, then with a lag of 2 s into 25 degrees.
Curve carried(double air_K) {
  Curve curve;
  for (double time_s = 80.0; time_s < 160.0; time_s += 0.5) {
    const double in_air = std::clamp((time_s - 100.0) / 6.0, 0.0, 1.0);
    const double left = std::exp(-std::max(0.0, time_s - 106.0) / 2.0);
    curve.push_back({time_s, 25.0 + (21.0 + air_K * in_air - 25.0) * left});
  }
  return with_noise(curve, 0.01, 0.001, 3);
}

LineFit level(double degC) {
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

TEST_CASE("a drift that leaks away is no step") {
  NewtonCup cup;
  cup.releases.clear();
  cup.rest_degC = 40.0;
  cup.interval_s = 10.0;
  cup.end_s = 400.0;
  cup.rate_per_s = cup.after_rate_per_s = 8e-4;
  CHECK_FALSE(find_step(with_noise(newton_curve(cup), 0.01, 0.001, 5), {0.01, 0.001}));
}

TEST_CASE("a way through the air is told from a mixing's course, which it fits") {
  const Curve curve = carried(-0.6);
  // A course that misses the readings in air by half of that.
  const double mixing_K2 = 12.0 * 0.3 * 0.3;
  CHECK(was_carried(curve, level(21.0), 103.0, {0.01, 0.0}, mixing_K2));
  const double as_good_K2 = static_cast<double>(curve.size()) * 0.01 * 0.01;
  CHECK_FALSE(was_carried(curve, level(21.0), 103.0, {0.01, 0.0}, as_good_K2));
}

TEST_CASE("a probe that is back on its line has come back; one that stays away has not") {
  WatchedLine line;
  line.fit = level(21.0);
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
