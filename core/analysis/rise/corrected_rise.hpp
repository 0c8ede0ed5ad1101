// The corrected temperature rise from the periods of a run, by two methods, each with its budget.
#pragma once

#include <algorithm>
#include <optional>
#include <string>
#include <vector>

#include "core/analysis/readings/line_fit.hpp"
#include "core/analysis/readings/noise.hpp"
#include "core/analysis/readings/point.hpp"
#include "core/analysis/rise/heat_leak.hpp"

namespace nestcup {

/// One contribution to a standard uncertainty.
struct BudgetLine {
  std::string source;
  double u_K = 0.0;  ///< standard uncertainty it brings to the rise, K
  char type = 'A';   ///< 'A': from the readings; 'B': from other knowledge (JCGM 100, 3.3.4)
};

/// Lag that an unknown probe in stirred liquid may have, s: bare beads have 1 to 2, sheathed probes
/// 5 to 10 (common practice).
inline constexpr double usual_probe_lag_s = 5.0;

/// One estimate of the corrected rise.
struct RiseEstimate {
  std::string method;
  double value_K = 0.0;
  double u_K = 0.0;  ///< standard uncertainty, root of the budget's squares
  std::optional<double> dof;
  std::vector<BudgetLine> budget;
  std::string note;  ///< what the method assumes or why it is (not) used
};

/// Regnault-Pfaundler: the leak integrated over the measured main period,
///   rise = T_end - T_start + k * integral of (T - T_rest) dt,
/// which needs no model of the release and is blind to a settled first-order probe lag.
/// @param main       readings strictly inside the main period, may be empty
/// @param u_mixing_s standard uncertainty of the mixing time
[[nodiscard]] RiseEstimate regnault_pfaundler(const HeatLeak& leak, CurveView fore, CurveView main,
                                              CurveView after, const Noise& noise,
                                              double u_mixing_s);

/// Drops empty lines and makes the uncertainty the root of the squares of the others.
void close_budget(RiseEstimate& estimate);

/// Adds a line to the budget of an estimate and to its uncertainty.
void add_to_budget(RiseEstimate& estimate, BudgetLine line);

/// Difference at the equal-area time of the straight lines through both periods.
[[nodiscard]] RiseEstimate straight_lines(CurveView fore, CurveView main, CurveView after,
                                          double mixing_s, double main_end_s);

/// Time at which the area between the curve and the foreperiod's course before it equals the area
/// between the after period's course and the curve behind it.
/// @param fore_at, after_at  courses of both periods over the main period
template <class ForeCourse, class AfterCourse>
[[nodiscard]] double equal_area_time(CurveView main, double mixing_s, double main_end_s,
                                     const ForeCourse& fore_at, const AfterCourse& after_at);

/// Temperature above the foreperiod's course, freed of the leak since the mixing: what an adiabatic
/// cup would have shown. Same times as `curve`; K in temperature_degC.
[[nodiscard]] Curve adiabatic_course(CurveView curve, const HeatLeak& leak);

// ---------------------------------------------------------------------------------------------

template <class ForeCourse, class AfterCourse>
double equal_area_time(CurveView main, double mixing_s, double main_end_s,
                       const ForeCourse& fore_at, const AfterCourse& after_at) {
  Curve nodes;
  nodes.push_back({mixing_s, fore_at(mixing_s)});
  nodes.insert(nodes.end(), main.begin(), main.end());
  nodes.push_back({main_end_s, after_at(main_end_s)});
  // Bisection: the surplus of the left area grows as the time moves to the right.
  const auto surplus = [&](double cut_s) {
    double sum = 0.0;
    for (std::size_t i = 1; i < nodes.size(); ++i) {
      const Point &a = nodes[i - 1], &b = nodes[i];
      const double width = b.time_s - a.time_s;
      if (width <= 0.0) continue;
      const double left_s = std::clamp(cut_s - a.time_s, 0.0, width);
      sum += 0.5 * (a.temperature_degC + b.temperature_degC) * width;
      sum -= left_s * fore_at(a.time_s + 0.5 * left_s);
      sum -= (width - left_s) * after_at(a.time_s + left_s + 0.5 * (width - left_s));
    }
    return sum;
  };
  double low = mixing_s, high = main_end_s;
  const bool rising = surplus(high) >= surplus(low);
  for (int turn = 0; turn < 60; ++turn) {
    const double middle = 0.5 * (low + high);
    ((surplus(middle) < 0.0) == rising ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

}  // namespace nestcup
