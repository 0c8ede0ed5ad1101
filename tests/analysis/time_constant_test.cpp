// Plunge tests and means of steady probes, against curves whose answer is known.
#include "core/analysis/calibration/time_constant.hpp"

#include <cmath>
#include <random>

#include "core/analysis/calibration/steady_mean.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

Curve plunge(double tau_s, double sd_K, double interval_s, std::uint64_t seed = 1) {
  std::mt19937_64 random(seed);
  std::normal_distribution<double> noise(0.0, 1.0);
  Curve curve;
  for (double t = 0.0; t < 30.0 + 12.0 * tau_s; t += interval_s) {
    const double after_s = t - 30.2;
    const double degC = after_s < 0.0 ? 21.0 : 55.0 - 34.0 * std::exp(-after_s / tau_s);
    curve.push_back({t, degC + sd_K * noise(random)});
  }
  return curve;
}

}  // namespace

TEST_CASE("the time constant of an exact exponential comes back") {
  for (const double tau_s : {1.5, 4.0, 20.0}) {
    const auto fit = fit_plunge(plunge(tau_s, 0.0, 0.1));
    REQUIRE(fit);
    INFO(tau_s);
    CHECK_THAT(fit->time_constant_s.value, WithinAbs(tau_s, 1e-4 * tau_s));
    CHECK_THAT(fit->final_degC, WithinAbs(55.0, 1e-4));
  }
}

TEST_CASE("with noise it lies within its uncertainty as often as it says") {
  int within = 0;
  constexpr int trials = 200;
  double squares = 0.0;
  for (int seed = 1; seed <= trials; ++seed) {
    const auto fit = fit_plunge(plunge(5.0, 0.02, 0.5, static_cast<std::uint64_t>(seed)));
    REQUIRE(fit);
    const double z = (fit->time_constant_s.value - 5.0) / fit->time_constant_s.u;
    squares += z * z;
    if (std::abs(z) < 2.0) ++within;
  }
  CHECK(within > 0.90 * trials);
  CHECK_THAT(std::sqrt(squares / trials), WithinAbs(1.0, 0.2));
}

TEST_CASE("what is no plunge gives no time constant") {
  CHECK_FALSE(fit_plunge({}));
  Curve still;
  for (int i = 0; i < 100; ++i) still.push_back({i * 0.5, 21.0 + 0.01 * (i % 3)});
  CHECK_FALSE(fit_plunge(still));
  // Readings so far apart that the approach falls between them.
  CHECK_FALSE(fit_plunge(plunge(1.5, 0.0, 4.0)));
}

TEST_CASE("the mean of a steady probe with scatter, rounding and drift") {
  std::mt19937_64 random(7);
  std::normal_distribution<double> noise(0.0, 0.01);
  Curve noisy, drifting, rounded;
  for (int i = 0; i < 400; ++i) {
    const double t = 0.5 * i;
    noisy.push_back({t, 25.0 + noise(random)});
    drifting.push_back({t, 25.0 + 1e-3 * t});
    rounded.push_back({t, i % 97 == 0 ? 25.1 : 25.0});
  }
  const SteadyMean mean = steady_mean(noisy);
  CHECK_THAT(mean.mean_degC, WithinAbs(25.0, 3.0 * mean.u_K));
  CHECK_THAT(mean.sd_K, WithinAbs(0.01, 0.002));
  CHECK(mean.u_K >= 0.9 * mean.sd_K / 20.0);
  CHECK(mean.u_K < 2.0 * 0.01 / 20.0);
  CHECK(mean.count == 400);
  const SteadyMean drift = steady_mean(drifting);
  CHECK_THAT(drift.drift_K_per_min, WithinAbs(0.06, 1e-9));
  CHECK(drift.u_K >= 0.999e-3 * 199.5 / std::sqrt(12.0));
  CHECK(steady_mean(rounded).u_K >= 0.1 / std::sqrt(12.0));
  CHECK(steady_mean({}).count == 0);
}
