#include "core/analysis/readings/approach.hpp"

#include <cmath>
#include <random>

#include "tests/catch.hpp"

using namespace nestcup;

namespace {

constexpr double lag_s = 6.0, slope_K_per_s = -0.009, start_degC = 47.0;

double liquid_degC(double time_s) {
  return start_degC + slope_K_per_s * time_s;
}

/// A probe that plunged at time 0 from 20 K below, read until `end_s`.
Curve plunge(double end_s, double noise_K, std::mt19937_64& random) {
  std::normal_distribution<double> noise(0.0, noise_K);
  Curve curve;
  for (double t = 0.0; t <= end_s; t += 0.5) {
    const double settled = liquid_degC(t) - slope_K_per_s * lag_s;
    curve.push_back({t, settled - 20.0 * std::exp(-t / lag_s) + noise(random)});
  }
  return curve;
}

}  // namespace

TEST_CASE("an approach without noise gives lag, rest and the liquid's own temperature") {
  std::mt19937_64 random(1);
  const Approach fit = fit_approach(plunge(60.0, 0.0, random), {1e-4, 0.0});
  CHECK(std::abs(fit.lag_s - lag_s) < 1e-3);
  CHECK(std::abs(fit.rest_K + 20.0) < 1e-3);
  CHECK(std::abs(fit.liquid_at(80.0).value - liquid_degC(80.0)) < 1e-3);
  // 20 K have gone down to 2 mK after 9.2 lags.
  CHECK(std::abs(fit.arrived_s(0.002) - lag_s * std::log(1e4)) < 0.02);
}

TEST_CASE("a stay of a few lags tells the liquid's temperature as well as it says") {
  std::mt19937_64 random(2);
  int within = 0;
  constexpr int trials = 400;
  for (int i = 0; i < trials; ++i) {
    const Approach fit = fit_approach(plunge(32.0, 0.02, random), {0.02, 0.0});
    const Uncertain liquid = fit.liquid_at(40.0);
    CHECK(liquid.u < 0.25);
    within += std::abs(liquid.value - liquid_degC(40.0)) < 2.0 * liquid.u ? 1 : 0;
  }
  CHECK(within > 0.92 * trials);
}
