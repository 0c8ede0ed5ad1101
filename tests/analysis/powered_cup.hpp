// A cup that follows Newton's law while heat is set free in stages of even power: in closed form,
// so that any course of a release can be had without an integrator's error.
#pragma once

#include <vector>

#include "core/analysis/readings/point.hpp"
#include "core/analysis/rise/heat_leak.hpp"

namespace nestcup {

/// Even power for some time: a pour, a heater, a pause.
struct Stage {
  double length_s = 3.0;
  double rise_K = 6.0;  ///< what it would do to an adiabatic cup
};

struct PoweredCup {
  double start_degC = 21.0;  ///< contents at the mixing
  double rest_degC = 22.2;
  double fore_rate_per_s = 3e-4;
  double rate_per_s = 3e-4;  ///< from the mixing on
  std::vector<Stage> stages{{}};
  double lag_s = 0.0;  ///< of the probe, first order, settled in the foreperiod; 0: none
  double mixing_s = 120.0;
  double end_s = 1500.0;
  double interval_s = 0.1;

  [[nodiscard]] double rise_K() const;
  /// Largest error of the trapezoid rule over the main period, times the rate: interval squared
  /// over 8 at each change of power, and less in between, K.
  [[nodiscard]] double trapezoid_K() const;
};

/// What the probe shows, from time 0 on.
[[nodiscard]] Curve powered_curve(const PoweredCup& cup);

/// Both courses as the probe shows them, the after period's from a reading at `main_end_s`.
[[nodiscard]] HeatLeak leak_of(const PoweredCup& cup, CurveView curve, double main_end_s);

/// The readings of a run by its periods.
struct Periods {
  CurveView fore, main, after;
};
[[nodiscard]] Periods periods_of(const Curve& curve, double mixing_s, double main_end_s);

}  // namespace nestcup
