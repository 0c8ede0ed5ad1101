// The Regnault-Pfaundler integral: exact without noise for any course of the release, and blind to
// a probe lag that has settled.
#include <cmath>

#include "core/analysis/rise/corrected_rise.hpp"
#include "tests/analysis/powered_cup.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

// A reading lies on it, whatever the rounding of the readings' times.
constexpr double settled_s = 540.0 - 1e-9;

RiseEstimate integral(const HeatLeak& leak, const Curve& curve) {
  const Periods part = periods_of(curve, leak.mixing_s, leak.main_end_s);
  return regnault_pfaundler(leak, part.fore, part.main, part.after, Noise{}, 0.0);
}

HeatLeak fitted(const PoweredCup& cup, const Curve& curve) {
  const Periods part = periods_of(curve, cup.mixing_s, settled_s);
  return fit_heat_leak(part.fore, part.after, cup.mixing_s, settled_s, Noise{1e-4, 0.0}, {});
}

std::vector<Stage> pour() {
  return {{3.0, 6.0}};
}
std::vector<Stage> heater() {
  return {{150.0, 5.0}};
}
std::vector<Stage> two_pours() {
  return {{2.0, -2.0}, {60.0, 0.0}, {4.0, 8.0}};
}
std::vector<Stage> there_and_back() {
  return {{10.0, 8.0}, {40.0, -11.0}, {5.0, -1.0}};
}
std::vector<Stage> dissolution() {
  return {{5.0, -1.0}, {10.0, -1.5}, {20.0, -1.0}, {60.0, -1.0}, {120.0, -0.5}};
}

std::vector<Stage> any_release() {
  return GENERATE(pour(), heater(), two_pours(), there_and_back(), dissolution());
}

}  // namespace

TEST_CASE("the integral with the true leak is exact for any release") {
  PoweredCup cup;
  cup.stages = any_release();
  cup.rate_per_s = GENERATE(1e-4, 8e-4);
  cup.fore_rate_per_s = cup.rate_per_s * GENERATE(1.0, 2.0);
  const Curve curve = powered_curve(cup);
  CHECK_THAT(integral(leak_of(cup, curve, settled_s), curve).value_K,
             WithinAbs(cup.rise_K(), cup.trapezoid_K()));
}

TEST_CASE("the integral with the fitted leak is exact to the pull of the prior knowledge") {
  PoweredCup cup;
  cup.stages = any_release();
  cup.rate_per_s = GENERATE(1e-4, 3e-4, 8e-4);
  cup.fore_rate_per_s = cup.rate_per_s * GENERATE(1.0, 1.4, 2.0);
  const Curve curve = powered_curve(cup);
  const RiseEstimate rise = integral(fitted(cup, curve), curve);
  // The readings count with the least scatter that the fit believes, 0.1 mK.
  CAPTURE(cup.rise_K(), cup.rate_per_s, cup.fore_rate_per_s, rise.u_K);
  CHECK_THAT(rise.value_K, WithinAbs(cup.rise_K(), 1e-4 + cup.trapezoid_K()));
}

TEST_CASE("a settled lag of the probe leaves the integral where it is") {
  PoweredCup cup;
  cup.stages = any_release();
  cup.rate_per_s = cup.fore_rate_per_s = GENERATE(1e-4, 8e-4);
  const Curve bare = powered_curve(cup);
  const double bare_K = integral(leak_of(cup, bare, settled_s), bare).value_K;
  cup.lag_s = GENERATE(1.0, 10.0);
  const Curve lagged = powered_curve(cup);
  CHECK_THAT(integral(leak_of(cup, lagged, settled_s), lagged).value_K,
             WithinAbs(bare_K, 2.0 * cup.trapezoid_K()));
  CHECK_THAT(integral(fitted(cup, lagged), lagged).value_K,
             WithinAbs(cup.rise_K(), 1e-4 + cup.trapezoid_K()));
}

TEST_CASE("with two leak rates a lag moves the integral by the share that its budget states") {
  PoweredCup cup;
  cup.start_degC = 18.0;
  cup.stages = any_release();
  cup.fore_rate_per_s = 8e-4;
  cup.rate_per_s = 4e-4;
  const Curve bare = powered_curve(cup);
  const double bare_K = integral(leak_of(cup, bare, settled_s), bare).value_K;
  cup.lag_s = GENERATE(2.0, usual_probe_lag_s);
  const Curve lagged = powered_curve(cup);
  const RiseEstimate rise = integral(leak_of(cup, lagged, settled_s), lagged);
  // Both courses are late by the lag: the start is off by its drift of one rate, the integral takes
  // back that of the other.
  const double moved_K =
      (cup.fore_rate_per_s - cup.rate_per_s) * (cup.rest_degC - 18.0) * cup.lag_s;
  CHECK_THAT(rise.value_K - bare_K, WithinRel(moved_K, 0.01));
  for (const BudgetLine& line : rise.budget) {
    if (line.source != "lag of the probe") continue;
    CHECK_THAT(line.u_K * cup.lag_s / usual_probe_lag_s, WithinRel(moved_K, 0.01));
    return;
  }
  FAIL("the budget has no line for the lag");
}
