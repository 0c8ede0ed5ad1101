// What the methods of the corrected rise must have in common, whatever the readings.
#include <cmath>

#include "core/analysis/rise/corrected_rise.hpp"
#include "core/analysis/rise/hand_line.hpp"
#include "tests/analysis/powered_cup.hpp"
#include "tests/bench/trial_grid.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

auto standing_at(double temperature_degC) {
  return [temperature_degC](double) { return temperature_degC; };
}

/// An approach of ten kelvin to its end, without a leak.
Curve approach_curve(double delay_s, double end_s, double interval_s) {
  Curve curve;
  for (double time_s = interval_s; time_s < end_s; time_s += interval_s) {
    curve.push_back({time_s, 20.0 - 10.0 * std::expm1(-time_s / delay_s)});
  }
  return curve;
}

struct LineBias {
  double rate_per_min, from_min, to_min, bias_K;
};

/// Ten kelvin at once above a foreperiod at rest, then Newton's law: a reading a second up to the
/// window, 200 of them evenly over it.
Curve cooling(const LineBias& c) {
  Curve curve;
  const auto add = [&](double time_min, double above_K) {
    curve.push_back({60.0 * time_min, 20.0 + above_K});
  };
  const auto add_warm = [&](double time_min) {
    add(time_min, 10.0 * std::exp(-c.rate_per_min * time_min));
  };
  for (int i = -60; i < 0; ++i) add(i / 60.0, 0.0);
  add_warm(1e-9);
  for (int i = 1; i < 60.0 * c.from_min; ++i) add_warm(i / 60.0);
  for (int i = 0; i < 200; ++i) add_warm(c.from_min + (c.to_min - c.from_min) * i / 199.0);
  return curve;
}

}  // namespace

TEST_CASE("the integral is Dickinson's rule at the time of equal areas between the levels") {
  PoweredCup cup;
  cup.stages = GENERATE(std::vector<Stage>{{20.0, 6.0}}, std::vector<Stage>{{100.0, -5.0}},
                        std::vector<Stage>{{5.0, 4.0}, {20.0, 0.0}, {30.0, 4.0}});
  cup.rate_per_s = GENERATE(1e-4, 8e-4);
  cup.interval_s = GENERATE(0.5, 5.0);
  const Curve curve = powered_curve(cup);
  const HeatLeak leak = leak_of(cup, curve, 240.0);
  const Periods part = periods_of(curve, leak.mixing_s, leak.main_end_s);
  const double cut_s = equal_area_time(part.main, leak.mixing_s, leak.main_end_s,
                                       standing_at(leak.start_degC), standing_at(leak.end_degC));
  // Each level's drift for the time on its side.
  const double k = leak.rate_per_s();
  const double before = k * (leak.rest_degC - leak.start_degC) * (cut_s - leak.mixing_s);
  const double behind = k * (leak.rest_degC - leak.end_degC) * (leak.main_end_s - cut_s);
  const double dickinson_K = leak.end_degC - leak.start_degC - before - behind;
  const RiseEstimate rise =
      regnault_pfaundler(leak, part.fore, part.main, part.after, Noise{}, 0.0);
  CHECK_THAT(rise.value_K, WithinAbs(dickinson_K, 1e-9));

  // And that time is t_f - (t_f - t_i) (T_m - T_i) / (T_f - T_i), T_m the main period's mean.
  double area_Ks = 0.0;
  Point last{leak.mixing_s, leak.start_degC};
  Curve nodes(part.main.begin(), part.main.end());
  nodes.push_back({leak.main_end_s, leak.end_degC});
  for (const Point& point : nodes) {
    const double mean = 0.5 * (last.temperature_degC + point.temperature_degC);
    area_Ks += (point.time_s - last.time_s) * mean;
    last = point;
  }
  const double length_s = leak.main_end_s - leak.mixing_s;
  const double share = (area_Ks / length_s - leak.start_degC) / (leak.end_degC - leak.start_degC);
  CHECK_THAT(cut_s, WithinAbs(leak.main_end_s - length_s * share, 1e-6));
}

TEST_CASE("an exponential approach has the equal areas at 63.2 % of its way") {
  const double delay_s = GENERATE(5.0, 20.0);
  const double end_s = 25.0 * delay_s;  // 1e-11 of the way is left
  const Curve curve = approach_curve(delay_s, end_s, 0.05);
  const double cut_s = equal_area_time(curve, 0.0, end_s, standing_at(20.0), standing_at(30.0));
  // The trapezoid's h^2 / 12 of the slope at the start is all that it is off.
  CHECK_THAT(cut_s, WithinAbs(delay_s, 0.05 * 0.05 / 10.0 / delay_s));
  const CurveView to_cut = between(curve, 0.0, cut_s + 1e-6);
  CHECK_THAT((to_cut.back().temperature_degC - 20.0) / 10.0, WithinAbs(0.632, 1e-3));
}

TEST_CASE("with constant drift the ways by hand agree with the others") {
  const double drift_K_per_s = GENERATE(2e-4, -5e-4);
  PoweredCup cup;
  cup.fore_rate_per_s = cup.rate_per_s = 1e-8;
  cup.rest_degC = cup.start_degC + drift_K_per_s / 1e-8;
  const Curve curve = powered_curve(cup);
  const HeatLeak leak = leak_of(cup, curve, 180.0);
  const double expected_K = leak.end_degC - leak.start_degC - drift_K_per_s * (180.0 - 120.0);
  const Periods part = periods_of(curve, 120.0, 180.0);
  CHECK_THAT(expected_K, WithinAbs(6.0, 1e-5));
  CHECK_THAT(regnault_pfaundler(leak, part.fore, part.main, part.after, Noise{}, 0.0).value_K,
             WithinAbs(expected_K, 1e-5));
  CHECK_THAT(straight_lines(part.fore, part.main, part.after, 120.0, 180.0).value_K,
             WithinAbs(expected_K, 1e-5));
  CHECK_THAT(adiabatic_course(curve, leak).back().temperature_degC, WithinAbs(expected_K, 1e-5));
  // Readings to 0.1 degree: the first is off by half a step, the line's foot by one at most.
  REQUIRE(hand_line_K(curve, 120.0));
  CHECK_THAT(*hand_line_K(curve, 120.0), WithinAbs(expected_K, 0.15));
}

TEST_CASE("a line carried back is low by what the curvature leaves out") {
  const LineBias c = GENERATE(LineBias{0.006, 1, 5, -0.0014}, LineBias{0.006, 2, 10, -0.0054},
                              LineBias{0.006, 5, 20, -0.0235}, LineBias{0.0143, 1, 5, -0.0076},
                              LineBias{0.0143, 2, 10, -0.0295}, LineBias{0.0143, 5, 20, -0.1240},
                              LineBias{0.02, 1, 5, -0.0147}, LineBias{0.02, 2, 10, -0.0562},
                              LineBias{0.02, 5, 20, -0.2310}, LineBias{0.04, 1, 5, -0.0562},
                              LineBias{0.04, 2, 10, -0.2070}, LineBias{0.04, 5, 20, -0.7821});
  const Curve curve = cooling(c);
  const double main_end_s = 60.0 * c.from_min;
  const Periods part = periods_of(curve, 0.0, main_end_s);
  const CurveView fore = between(curve, -INFINITY, 0.0);
  const double bias_K = straight_lines(fore, part.main, part.after, 0.0, main_end_s).value_K - 10.0;
  CAPTURE(c.rate_per_min, c.from_min, c.to_min);
  // The area between curve and line has no other side at a jump: the cut is the mixing itself.
  CHECK_THAT(bias_K, WithinAbs(c.bias_K, 5.1e-5));
  // Expansion about the window's middle m, width w; what is left of it is of the next order.
  const double m = 0.5 * (c.from_min + c.to_min), w = c.to_min - c.from_min;
  const double expanded_K = -0.5 * c.rate_per_min * c.rate_per_min * 10.0 * (m * m - w * w / 12.0);
  CHECK_THAT(bias_K, WithinRel(expanded_K, c.rate_per_min * c.to_min));
}

TEST_CASE("courses carried back to the start of the pour overshoot by what it leaked meanwhile") {
  bench::Trial trial;
  trial.start_degC = trial.rest_degC;  // a foreperiod at rest
  trial.ratio = 1.0;
  trial.rate_per_s = GENERATE(1e-4, 8e-4);
  trial.rise_K = GENERATE(6.0, -15.0);
  trial.pour_s = GENERATE(1.0, 5.0);
  trial.release_s = GENERATE(0.5, 8.0);
  trial.lag_s = GENERATE(1.0, 6.0);
  trial.end_s = 450.0;
  Curve curve;
  for (const double reading : bench::smooth_course(trial)) {
    curve.push_back({static_cast<double>(curve.size()) * trial.interval_s, reading});
  }
  const double main_end_s = trial.mixing_s + 150.0;
  const Periods part = periods_of(curve, trial.mixing_s, main_end_s);
  const double late_s = 0.5 * trial.pour_s + trial.release_s + trial.lag_s;
  const double k = trial.rate_per_s, overshoot_K = k * trial.rise_K * late_s;
  CAPTURE(k, trial.rise_K, late_s);

  const LineFit before = fit_line(part.fore), behind = fit_line(part.after);
  const double lines_K = behind.at(trial.mixing_s) - before.at(trial.mixing_s) - trial.rise_K;
  // The lines' own bias beside it; the next order of both is smaller by k times the window's end.
  const double w = trial.end_s - main_end_s, m = 150.0 + 0.5 * w;
  const double bend_K = -0.5 * k * k * trial.rise_K * (m * m - w * w / 12.0);
  const double next = k * (trial.end_s - trial.mixing_s);
  CHECK_THAT(lines_K, WithinAbs(overshoot_K + bend_K,
                                next * (std::abs(overshoot_K) + std::abs(bend_K)) + 1e-6));

  const HeatLeak leak =
      fit_heat_leak(part.fore, part.after, trial.mixing_s, main_end_s, Noise{1e-4, 0.0}, {});
  const double courses_K =
      leak.after_at(trial.mixing_s) - leak.fore_at(trial.mixing_s) - trial.rise_K;
  CHECK_THAT(courses_K, WithinAbs(overshoot_K, 2.0 * k * late_s * std::abs(overshoot_K) + 2e-4));
}
