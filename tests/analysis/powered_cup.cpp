#include "tests/analysis/powered_cup.hpp"

#include <algorithm>
#include <cmath>

namespace nestcup {
namespace {

struct PoweredState {
  double cup_degC, probe_degC;
};

/// Solution of dT/dt = k (rest - T) + power, and of the probe behind its lag.
PoweredState held_at(const PoweredState& state, double length_s, double rate_per_s,
                     double rest_degC, double power_K_per_s, double lag_s) {
  const double end_degC = rest_degC + power_K_per_s / rate_per_s;
  const double away_K = state.cup_degC - end_degC, decay = std::exp(-rate_per_s * length_s);
  const double cup_degC = end_degC + away_K * decay;
  if (lag_s <= 0.0) return {cup_degC, cup_degC};
  const double settled_K = away_K / (1.0 - rate_per_s * lag_s);
  const double unsettled_K = state.probe_degC - end_degC - settled_K;
  return {cup_degC, end_degC + settled_K * decay + unsettled_K * std::exp(-length_s / lag_s)};
}

/// What a settled probe shows in a cup that is so far from its rest.
double settled_degC(const PoweredCup& cup, double away_K) {
  return cup.rest_degC + away_K / (1.0 - cup.fore_rate_per_s * cup.lag_s);
}

}  // namespace

double PoweredCup::rise_K() const {
  double sum = 0.0;
  for (const Stage& stage : stages) sum += stage.rise_K;
  return sum;
}

double PoweredCup::trapezoid_K() const {
  double changes_K_per_s = 0.0, before = 0.0;
  for (const Stage& stage : stages) {
    const double power = stage.rise_K / stage.length_s;
    changes_K_per_s += std::abs(power - before);
    before = power;
  }
  changes_K_per_s += std::abs(before);
  return rate_per_s * interval_s * interval_s / 8.0 * 1.1 * changes_K_per_s + 1e-9;
}

Curve powered_curve(const PoweredCup& cup) {
  Curve curve;
  const double away_K = cup.start_degC - cup.rest_degC;
  PoweredState state{cup.start_degC, settled_degC(cup, away_K)};
  double now_s = cup.mixing_s, stage_end_s = cup.mixing_s;
  auto stage = cup.stages.begin();
  if (stage != cup.stages.end()) stage_end_s += stage->length_s;
  for (int i = 0; i * cup.interval_s <= cup.end_s; ++i) {
    const double time_s = i * cup.interval_s;
    if (time_s <= cup.mixing_s) {
      const double decay = std::exp(-cup.fore_rate_per_s * (time_s - cup.mixing_s));
      curve.push_back({time_s, settled_degC(cup, away_K * decay)});
      continue;
    }
    while (now_s < time_s) {
      const bool powered = stage != cup.stages.end();
      const double next_s = powered ? std::min(time_s, stage_end_s) : time_s;
      const double power = powered ? stage->rise_K / stage->length_s : 0.0;
      state = held_at(state, next_s - now_s, cup.rate_per_s, cup.rest_degC, power, cup.lag_s);
      now_s = next_s;
      if (powered && now_s >= stage_end_s && ++stage != cup.stages.end()) {
        stage_end_s += stage->length_s;
      }
    }
    curve.push_back({time_s, state.probe_degC});
  }
  return curve;
}

HeatLeak leak_of(const PoweredCup& cup, CurveView curve, double main_end_s) {
  HeatLeak leak;
  leak.rest_degC = cup.rest_degC;
  leak.log_rate = std::log(cup.rate_per_s);
  leak.log_ratio = std::log(cup.fore_rate_per_s / cup.rate_per_s);
  leak.mixing_s = cup.mixing_s;
  leak.main_end_s = main_end_s;
  leak.start_degC = settled_degC(cup, cup.start_degC - cup.rest_degC);
  leak.end_degC = between(curve, main_end_s, INFINITY).front().temperature_degC;
  return leak;
}

Periods periods_of(const Curve& curve, double mixing_s, double main_end_s) {
  return {between(curve, 0.0, mixing_s),
          between(curve, std::nextafter(mixing_s, main_end_s), main_end_s),
          between(curve, main_end_s, INFINITY)};
}

}  // namespace nestcup
