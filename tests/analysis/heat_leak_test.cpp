// The heat-leak fit finds what a Newton cup is made of.
#include "core/analysis/rise/heat_leak.hpp"

#include <cmath>

#include "tests/analysis/newton_cup.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

constexpr double main_end_s = 150.0;

HeatLeak fitted(const NewtonCup& cup, const Curve& curve, const Noise& noise) {
  return fit_heat_leak(between(curve, 0.0, cup.mixing_s), between(curve, main_end_s, 1e9),
                       cup.mixing_s, main_end_s, noise, {});
}

}  // namespace

TEST_CASE("the leak fit recovers the parameters of noise-free readings") {
  NewtonCup cup;
  cup.rate_per_s = GENERATE(3e-4, 8e-4);
  cup.after_rate_per_s = cup.rate_per_s * GENERATE(1.0, 0.6);
  cup.releases = {{GENERATE(6.0, -4.0), 2.0}};
  cup.rest_degC = 22.2;
  cup.mixing_s = 120.0;
  cup.end_s = 600.0;
  const Curve curve = newton_curve(cup);
  const HeatLeak truth = true_leak(cup, curve, main_end_s);
  const HeatLeak leak = fitted(cup, curve, Noise{1e-4, 0.0});
  CHECK_THAT(leak.start_degC, WithinAbs(truth.start_degC, 2e-5));
  CHECK_THAT(leak.end_degC, WithinAbs(truth.end_degC, 2e-5));
  CHECK_THAT(leak.rate_per_s(), WithinRel(truth.rate_per_s(), 0.01));
  CHECK_THAT(leak.fore_rate_per_s(), WithinRel(truth.fore_rate_per_s(), 0.02));
  CHECK_THAT(leak.rest_degC, WithinAbs(truth.rest_degC, 0.03));
  CHECK_THAT(leak.fore_at(50.0), WithinAbs(curve[100].temperature_degC, 2e-5));
  CHECK_THAT(leak.after_at(400.0), WithinAbs(curve[800].temperature_degC, 2e-5));
}

TEST_CASE("the leak fit's stated scatter covers its errors") {
  NewtonCup cup;
  cup.rest_degC = 22.2;
  cup.mixing_s = 120.0;
  cup.end_s = 400.0;
  const Curve clean = newton_curve(cup);
  const HeatLeak truth = true_leak(cup, clean, main_end_s);
  double start_squares = 0.0, end_squares = 0.0, rate_squares = 0.0;
  constexpr int turns = 60;
  for (int turn = 0; turn < turns; ++turn) {
    const Curve curve = with_noise(clean, 0.01, 0.0, 100 + static_cast<std::uint64_t>(turn));
    const HeatLeak leak = fitted(cup, curve, Noise{0.01, 0.0});
    CHECK_THAT(leak.sd_K, WithinRel(0.01, 0.15));
    const auto share = [&](double error, int i) {
      return error * error / leak.covariance(i, i) / turns;
    };
    start_squares += share(leak.start_degC - truth.start_degC, 0);
    end_squares += share(leak.end_degC - truth.end_degC, 4);
    rate_squares += share(leak.log_rate - truth.log_rate, 2);
  }
  // Mean squares over 60 turns scatter by 18 %; priors only help.
  CHECK(start_squares < 1.6);
  CHECK(end_squares < 1.6);
  CHECK(rate_squares < 1.6);
  CHECK(start_squares > 0.5);
  CHECK(end_squares > 0.5);
}

TEST_CASE("short periods stay determined") {
  NewtonCup cup;
  cup.interval_s = 10.0;
  cup.mixing_s = 35.0;
  cup.end_s = 180.0;
  const Curve curve = newton_curve(cup);
  const HeatLeak leak = fitted(cup, curve, Noise{0.01, 0.01});
  CHECK(std::isfinite(leak.start_degC));
  CHECK(leak.covariance.allFinite());
  CHECK(leak.rate_per_s() > 2e-5);
  CHECK(leak.rate_per_s() < 5e-3);
}

TEST_CASE("a room probe's mean pins the rest temperature") {
  NewtonCup cup;
  const Curve curve = with_noise(newton_curve(cup), 0.01, 0.0, 2);
  const auto fit = [&](const RoomKnowledge& room) {
    return fit_heat_leak(between(curve, 0.0, 90.0), between(curve, main_end_s, 1e9), 90.0,
                         main_end_s, Noise{0.01, 0.0}, room);
  };
  CHECK(fit({23.0}).covariance(1, 1) < fit({}).covariance(1, 1));
}

TEST_CASE("alternating readings that are alike show as correlated residuals") {
  NewtonCup cup;
  Curve curve = newton_curve(cup);
  const Curve noise = with_noise(curve, 0.01, 0.0, 8);
  for (std::size_t i = 0; i < curve.size(); ++i) curve[i] = {curve[i].time_s, 0.0};
  const Curve clean = newton_curve(cup);
  for (std::size_t i = 0; i < curve.size(); ++i) {
    const std::size_t shared = i / 4 * 4;  // four readings in a row share one error
    curve[i].temperature_degC =
        clean[i].temperature_degC + noise[shared].temperature_degC - clean[shared].temperature_degC;
  }
  CHECK(fitted(cup, curve, Noise{0.01, 0.0}).correlation > 0.5);
  CHECK(std::abs(fitted(cup, noise, Noise{0.01, 0.0}).correlation) < 0.2);
}
