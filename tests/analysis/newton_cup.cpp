#include "tests/analysis/newton_cup.hpp"

#include <cmath>

#include "sim/random.hpp"

namespace nestcup {
namespace {

struct NewtonState {
  double cup_degC, probe_degC;
};

/// Rates of change at a time; `mixed` tells on which side of the mixing it lies.
NewtonState rates(const NewtonCup& cup, bool mixed, double time_s, const NewtonState& state) {
  const double k = mixed ? cup.after_rate_per_s : cup.rate_per_s;
  NewtonState rate{k * (cup.rest_degC - state.cup_degC), 0.0};
  for (const Release& release : cup.releases) {
    if (!mixed) break;
    const double since_s = time_s - cup.mixing_s, delay_s = release.delay_s;
    const double decay = std::exp(-since_s / delay_s);
    const double share = release.lid_s > 0.0 ? (std::exp(-since_s / release.lid_s) - decay) /
                                                   (release.lid_s - delay_s)
                                             : decay / delay_s;
    rate.cup_degC += release.rise_K * share;
  }
  if (cup.lag_s > 0.0) rate.probe_degC = (state.cup_degC - state.probe_degC) / cup.lag_s;
  return rate;
}

NewtonState ahead(const NewtonState& state, const NewtonState& rate, double step_s) {
  return {state.cup_degC + step_s * rate.cup_degC, state.probe_degC + step_s * rate.probe_degC};
}

NewtonState stepped(const NewtonCup& cup, double time_s, double step_s, const NewtonState& state) {
  const bool mixed = time_s + 0.5 * step_s > cup.mixing_s;
  const NewtonState a = rates(cup, mixed, time_s, state);
  const NewtonState b = rates(cup, mixed, time_s + 0.5 * step_s, ahead(state, a, 0.5 * step_s));
  const NewtonState c = rates(cup, mixed, time_s + 0.5 * step_s, ahead(state, b, 0.5 * step_s));
  const NewtonState d = rates(cup, mixed, time_s + step_s, ahead(state, c, step_s));
  const NewtonState mean{(a.cup_degC + 2.0 * (b.cup_degC + c.cup_degC) + d.cup_degC) / 6.0,
                         (a.probe_degC + 2.0 * (b.probe_degC + c.probe_degC) + d.probe_degC) / 6.0};
  return ahead(state, mean, step_s);
}

/// Carries the state on; a step never strides over the mixing.
NewtonState run_on(const NewtonCup& cup, double from_s, double to_s, NewtonState state) {
  if (from_s < cup.mixing_s && cup.mixing_s < to_s) {
    state = run_on(cup, from_s, cup.mixing_s, state);
    return run_on(cup, cup.mixing_s, to_s, state);
  }
  const double steps = std::max(1.0, std::ceil((to_s - from_s) / 0.02));
  const double step_s = (to_s - from_s) / steps;
  for (int i = 0; i < static_cast<int>(steps); ++i) {
    state = stepped(cup, from_s + i * step_s, step_s, state);
  }
  return state;
}

}  // namespace

Curve newton_curve(const NewtonCup& cup) {
  const double settled_lag = 1.0 / (1.0 - cup.rate_per_s * cup.lag_s);
  NewtonState state{cup.start_degC, cup.rest_degC + (cup.start_degC - cup.rest_degC) * settled_lag};
  Curve curve;
  double before_s = 0.0;
  for (int i = 0; i * cup.interval_s <= cup.end_s; ++i) {
    const double time_s = i * cup.interval_s;
    if (i > 0) state = run_on(cup, before_s, time_s, state);
    curve.push_back({time_s, cup.lag_s > 0.0 ? state.probe_degC : state.cup_degC});
    before_s = time_s;
  }
  return curve;
}

HeatLeak true_leak(const NewtonCup& cup, CurveView curve, double main_end_s) {
  HeatLeak leak;
  const double settled_lag = 1.0 / (1.0 - cup.rate_per_s * cup.lag_s);
  leak.rest_degC = cup.rest_degC;
  leak.log_rate = std::log(cup.after_rate_per_s);
  leak.log_ratio = std::log(cup.rate_per_s / cup.after_rate_per_s);
  leak.mixing_s = cup.mixing_s;
  leak.main_end_s = main_end_s;
  leak.start_degC = cup.rest_degC + (cup.start_degC - cup.rest_degC) * settled_lag *
                                        std::exp(-cup.rate_per_s * cup.mixing_s);
  leak.end_degC = between(curve, main_end_s, INFINITY).front().temperature_degC;
  return leak;
}

Curve with_noise(Curve curve, double sd_K, double step_K, std::uint64_t seed) {
  sim::Random random(seed, 0);
  for (Point& point : curve) {
    point.temperature_degC += sd_K * random.gaussian();
    if (step_K > 0.0) {
      point.temperature_degC = std::round(point.temperature_degC / step_K) * step_K;
    }
  }
  return curve;
}

}  // namespace nestcup
