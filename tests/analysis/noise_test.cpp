// Noise and display step, told from the curve alone.
#include "core/analysis/readings/noise.hpp"

#include <cmath>

#include "core/analysis/readings/settling.hpp"
#include "tests/analysis/newton_cup.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

/// Ten minutes of slow drift at two readings a second.
Curve drifting(double sd_K, double step_K, std::uint64_t seed) {
  NewtonCup cup;
  cup.releases.clear();
  cup.end_s = 600.0;
  return with_noise(newton_curve(cup), sd_K, step_K, seed);
}

}  // namespace

TEST_CASE("a probe on its way into the cup is no scatter, and its way no foreperiod") {
  Curve curve;
  for (const double degC : {20.34, 20.12, 21.66, 21.72, 21.73, 21.73}) {
    curve.push_back({20.0 * static_cast<double>(curve.size()), degC});
  }
  const CurveView fore = curve;
  Curve run = curve;
  for (double time_s = 120.0; time_s < 360.0; time_s += 20.0) run.push_back({time_s, 22.8});
  run = with_noise(run, 0.01, 0.001, 3);
  const Noise noise = estimate_run_noise(run, 115.0);
  CHECK(noise.sd_K > 0.003);
  CHECK(noise.sd_K < 0.03);
  const auto steady_s = steady_from(fore, noise);
  REQUIRE(steady_s);
  CHECK(*steady_s >= 40.0);
  CHECK(*steady_s <= 80.0);
}

TEST_CASE("the scatter comes out whatever the step below it and the drift") {
  const double sd_K = GENERATE(0.004, 0.01, 0.03);
  const double step_K = GENERATE(0.0, 0.001, 0.01);
  if (step_K > 2.0 * sd_K) return;
  double sum = 0.0;
  for (std::uint64_t seed = 1; seed <= 10; ++seed) {
    sum += estimate_noise(drifting(sd_K, step_K, seed)).sd_K;
  }
  // Ten curves of 1200 readings: 1 % scatter; steps twice the noise leave some per cent.
  CHECK_THAT(sum / 10.0, WithinRel(sd_K, step_K > sd_K ? 0.2 : 0.05));
}

TEST_CASE("a coarse display hides small noise; rounding keeps the total honest") {
  const Noise noise = estimate_noise(drifting(0.005, 0.1, 7));
  CHECK_THAT(noise.step_K, WithinRel(0.1, 1e-6));
  CHECK(noise.sd_K < 0.05);
  CHECK_THAT(noise.total_K(), WithinRel(std::hypot(noise.sd_K, 0.1 / std::sqrt(12.0)), 1e-9));
}

TEST_CASE("a mixing and lone knocks hardly raise the scatter") {
  NewtonCup cup;
  Curve curve = with_noise(newton_curve(cup), 0.01, 0.01, 11);
  curve[50].temperature_degC += 0.5;
  curve[400].temperature_degC -= 0.8;
  CHECK_THAT(estimate_noise(curve).sd_K, WithinRel(0.01, 0.25));
  CHECK_THAT(estimate_run_noise(curve, 85.0).sd_K, WithinRel(0.01, 0.25));
}

TEST_CASE("uneven times do not raise the scatter of a drift") {
  Curve curve;
  double time_s = 0.0;
  for (int i = 0; i < 100; ++i) {
    time_s += 0.2 + 0.37 * (i % 5);
    curve.push_back({time_s, 20.0 + 0.01 * time_s});
  }
  CHECK(scatter_K(curve, 0.0) < 1e-9);
}

TEST_CASE("too few readings tell nothing of their scatter") {
  const Curve few{{0, 20.0}, {1, 20.3}, {2, 20.1}, {3, 20.4}};
  CHECK(estimate_noise(few).sd_K == 0.0);
  CHECK(estimate_run_noise({}, 10.0).sd_K == 0.0);
}
