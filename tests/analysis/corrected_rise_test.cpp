// The methods of the corrected rise against exact cases and a published example.
#include "core/analysis/rise/corrected_rise.hpp"

#include <cmath>

#include "tests/analysis/newton_cup.hpp"
#include "tests/catch.hpp"
#include "tests/reference/reference_table.hpp"

using namespace nestcup;

namespace {

struct Parts {
  CurveView fore, main, after;
};

Parts parts(const Curve& curve, double mixing_s, double main_end_s) {
  return {between(curve, 0.0, mixing_s),
          between(curve, std::nextafter(mixing_s, main_end_s), main_end_s),
          between(curve, main_end_s, 1e9)};
}

double integral_rise(const HeatLeak& leak, const Curve& curve) {
  const Parts part = parts(curve, leak.mixing_s, leak.main_end_s);
  return regnault_pfaundler(leak, part.fore, part.main, part.after, Noise{}, 0.0).value_K;
}

double total_rise(const NewtonCup& cup) {
  double sum = 0.0;
  for (const Release& release : cup.releases) sum += release.rise_K;
  return sum;
}

/// Error of the trapezoid rule, k h^2 / 12 times the change of slope, with half as much again, and
/// what is not yet released at the end.
double trapezoid_K(const NewtonCup& cup, double main_s) {
  double sum = 0.0;
  for (const Release& release : cup.releases) {
    sum += 1.5 * cup.after_rate_per_s * cup.interval_s * cup.interval_s / 12.0 *
           std::abs(release.rise_K) / release.delay_s;
    sum += std::abs(release.rise_K) * std::exp(-main_s / release.delay_s);
  }
  return sum + 1e-9;
}

}  // namespace

TEST_CASE("the integral is exact on a Newton cup, whatever the release") {
  NewtonCup cup;
  const std::vector<Release> releases =
      GENERATE(std::vector<Release>{{6.0, 1.0}}, std::vector<Release>{{-3.0, 6.0}},
               std::vector<Release>{{-2.0, 3.0}, {7.0, 9.0}}, std::vector<Release>{{15.0, 15.0}});
  cup.releases = releases;
  cup.after_rate_per_s = GENERATE(1e-4, 3e-4, 8e-4);
  cup.interval_s = GENERATE(0.5, 2.0);
  cup.end_s = 500.0;
  const Curve curve = newton_curve(cup);
  const HeatLeak leak = true_leak(cup, curve, 390.0);
  CHECK_THAT(integral_rise(leak, curve), WithinAbs(total_rise(cup), trapezoid_K(cup, 300.0)));
}

TEST_CASE("a settled first-order lag of the probe does not change the integral's rise") {
  NewtonCup cup;
  cup.lag_s = GENERATE(2.0, 8.0);
  cup.releases = {{GENERATE(6.0, -5.0), 4.0}};
  cup.end_s = 500.0;
  const Curve curve = newton_curve(cup);
  CHECK_THAT(integral_rise(true_leak(cup, curve, 390.0), curve),
             WithinAbs(total_rise(cup), trapezoid_K(cup, 300.0)));
  NewtonCup bare = cup;
  bare.lag_s = 0.0;
  const Curve unlagged = newton_curve(bare);
  CHECK_THAT(integral_rise(true_leak(cup, curve, 390.0), curve),
             WithinAbs(integral_rise(true_leak(bare, unlagged, 390.0), unlagged), 2e-5));
}

TEST_CASE("with constant drift every method gives the difference less the drift") {
  // A rest temperature far away makes the drift the same before and after.
  const double drift = GENERATE(2e-4, -5e-4);
  NewtonCup cup;
  cup.rate_per_s = cup.after_rate_per_s = 1e-9;
  cup.rest_degC = cup.start_degC + drift / 1e-9;
  cup.releases = {{6.0, 3.0}};
  const Curve curve = newton_curve(cup);
  const double main_end_s = 180.0;
  const HeatLeak leak = true_leak(cup, curve, main_end_s);
  const double expected = leak.end_degC - leak.start_degC - drift * (main_end_s - cup.mixing_s);
  CHECK_THAT(integral_rise(leak, curve), WithinAbs(expected, 1e-6));
  const Parts part = parts(curve, cup.mixing_s, main_end_s);
  const RiseEstimate lines =
      straight_lines(part.fore, part.main, part.after, cup.mixing_s, main_end_s);
  CHECK_THAT(lines.value_K, WithinAbs(expected, 1e-6));
  CHECK_THAT(lines.value_K, WithinAbs(6.0, 1e-6));
}

TEST_CASE("both courses differ by the corrected rise at the equal-area time") {
  NewtonCup cup;
  cup.releases = {{10.0, 12.0}};
  cup.end_s = 500.0;
  const Curve curve = newton_curve(cup);
  const HeatLeak leak = true_leak(cup, curve, 390.0);
  const Parts part = parts(curve, cup.mixing_s, 390.0);
  const auto fore_at = [&](double t) { return leak.fore_at(t); };
  const auto after_at = [&](double t) { return leak.after_at(t); };
  const double cut_s = equal_area_time(part.main, 90.0, 390.0, fore_at, after_at);
  // For a first-order release the cut lies one delay behind its start.
  CHECK_THAT(cut_s, WithinAbs(90.0 + 12.0, 0.1));
  CHECK_THAT(after_at(cut_s) - fore_at(cut_s), WithinAbs(10.0, 2e-3));
  // At the start of the pour they differ by k rise delay more.
  CHECK_THAT(after_at(90.0) - fore_at(90.0), WithinAbs(10.0 + 3e-4 * 10.0 * 12.0, 4e-3));
}

TEST_CASE("the published example of a cooling correction comes out") {
  // The print counts each of its six readings for one whole interval, while the integral here is a
  // trapezoid between readings: two readings at the ends of each interval make both the same.
  Curve steps;
  for (const auto& row : reference_table("steam_pfaundler.csv")) {
    steps.push_back({30.0 * row[0] + 1e-6, row[1]});
    steps.push_back({30.0 * (row[0] + 1.0) - 1e-6, row[1]});
  }
  HeatLeak leak;
  // R = 0 at T makes T the rest temperature; the rate is (R' - R) / (T' - T) an interval.
  leak.rest_degC = leak.start_degC = 20.29;
  leak.log_rate = std::log(0.01 / (22.85 - 20.29) / 30.0);
  leak.end_degC = 22.86;
  leak.mixing_s = 0.0;
  leak.main_end_s = 180.0;
  const double rise_K = regnault_pfaundler(leak, CurveView(steps).first(2), steps,
                                           CurveView(steps).last(2), Noise{}, 0.0)
                            .value_K;
  const double correction_K = rise_K - (22.86 - 20.29);
  CHECK_THAT(correction_K, WithinAbs(0.048, 0.001));
  // Unrounded, with the mean of the readings.
  CHECK_THAT(correction_K, WithinAbs(6.0 * 0.01 * (22.38 - 20.29) / (22.85 - 20.29), 1e-6));
}

TEST_CASE("the adiabatic course ends at the corrected rise and stays there") {
  NewtonCup cup;
  cup.after_rate_per_s = 8e-4;
  cup.releases = {{-5.0, 4.0}};
  const Curve curve = newton_curve(cup);
  const Curve course = adiabatic_course(curve, true_leak(cup, curve, 190.0));
  REQUIRE(course.size() == curve.size());
  CHECK_THAT(course[100].temperature_degC, WithinAbs(0.0, 1e-6));
  CHECK_THAT(course[400].temperature_degC, WithinAbs(-5.0, 2e-4));
  CHECK_THAT(course.back().temperature_degC, WithinAbs(-5.0, 2e-4));
}

TEST_CASE("the stated uncertainty is the root of the budget's squares") {
  NewtonCup cup;
  cup.releases = {{6.0, 3.0}};
  const Curve curve = with_noise(newton_curve(cup), 0.01, 0.01, 6);
  const Parts part = parts(curve, 90.0, 150.0);
  const Noise noise = estimate_noise(curve);
  const HeatLeak leak = fit_heat_leak(part.fore, part.after, 90.0, 150.0, noise, {});
  const RiseEstimate estimate =
      regnault_pfaundler(leak, part.fore, part.main, part.after, noise, 0.5);
  double squares = 0.0;
  for (const BudgetLine& line : estimate.budget) {
    CHECK(line.u_K > 0.0);
    CHECK_FALSE(line.source.empty());
    squares += line.u_K * line.u_K;
  }
  CHECK_THAT(estimate.u_K, WithinRel(std::sqrt(squares), 1e-12));
  REQUIRE(estimate.dof);
  CHECK(*estimate.dof > 1.0);
}
