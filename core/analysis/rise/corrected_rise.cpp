#include "core/analysis/rise/corrected_rise.hpp"

#include <cmath>

namespace nestcup {
namespace {

/// Corners of the main period's curve: its readings between the two fitted ends.
Curve main_nodes(const HeatLeak& leak, CurveView main) {
  Curve nodes;
  nodes.reserve(main.size() + 2);
  nodes.push_back({leak.mixing_s, leak.start_degC});
  nodes.insert(nodes.end(), main.begin(), main.end());
  nodes.push_back({leak.main_end_s, leak.end_degC});
  return nodes;
}

/// Readings that count when neighbours' errors are alike: (1 + c) / (1 - c) of them tell one thing.
double correlation_factor(const HeatLeak& leak, double readings) {
  // A correlation within its own scatter is none.
  const double c = leak.correlation - 1.0 / std::sqrt(readings);
  return c > 0.0 ? (1.0 + c) / (1.0 - std::min(c, 0.95)) : 1.0;
}

/// Uncertainty of a period's level from rounding, where the noise is too small to spread it: each
/// digit's change within the period tells where the level is, few changes leave it open.
double rounding_u_K(CurveView part, const Noise& noise) {
  if (noise.step_K <= 0.0 || noise.sd_K > 0.4 * noise.step_K || part.size() < 2) return 0.0;
  const LineFit line = fit_line(part);
  const double drift_K = std::abs(line.slope_K_per_s) * (part.back().time_s - part.front().time_s);
  return noise.step_K / std::sqrt(12.0) / (1.0 + drift_K / noise.step_K);
}

/// Sums over the main period that the method and its budget need.
struct MainSums {
  double area_Ks = 0.0;       ///< integral of T - T_rest, K s
  double weights = 0.0;       ///< sum of the squared weights of single readings, s^2
  double between_K2s2 = 0.0;  ///< squares of what the course between two readings leaves open
};

MainSums main_sums(const Curve& nodes, double rest_degC) {
  MainSums sums;
  for (std::size_t i = 1; i < nodes.size(); ++i) {
    const double width = nodes[i].time_s - nodes[i - 1].time_s;
    const double from = nodes[i - 1].temperature_degC, to = nodes[i].temperature_degC;
    sums.area_Ks += width * (0.5 * (from + to) - rest_degC);
    // The true area lies between that of an early and of a late jump.
    const double open = width * (to - from) / std::sqrt(12.0);
    sums.between_K2s2 += open * open;
    if (i + 1 < nodes.size()) {
      const double weight = 0.5 * (nodes[i + 1].time_s - nodes[i - 1].time_s);
      sums.weights += weight * weight;
    }
  }
  return sums;
}

}  // namespace

void close_budget(RiseEstimate& estimate) {
  double squares = 0.0;
  std::vector<BudgetLine> kept;
  for (BudgetLine& line : estimate.budget) {
    squares += line.u_K * line.u_K;
    if (line.u_K > 0.0) kept.push_back(std::move(line));
  }
  estimate.budget = std::move(kept);
  estimate.u_K = std::sqrt(squares);
}

RiseEstimate regnault_pfaundler(const HeatLeak& leak, CurveView fore, CurveView main,
                                CurveView after, const Noise& noise, double u_mixing_s) {
  RiseEstimate estimate;
  estimate.method = "Regnault-Pfaundler integral, fitted heat leak";
  estimate.note = "leak integrated over the measured main period";
  const double k = leak.rate_per_s(), length_s = leak.main_end_s - leak.mixing_s;
  const Curve nodes = main_nodes(leak, main);
  const MainSums sums = main_sums(nodes, leak.rest_degC);
  estimate.value_K = leak.end_degC - leak.start_degC + k * sums.area_Ks;

  const double first_s = nodes[1].time_s - nodes[0].time_s;
  const double last_s = nodes.back().time_s - nodes[nodes.size() - 2].time_s;
  HeatLeak::Vector slope;
  slope << -1.0 + 0.5 * k * first_s, -k * length_s, k * sums.area_Ks, 0.0, 1.0 + 0.5 * k * last_s;
  const auto readings = static_cast<double>(fore.size() + after.size());
  const double factor = correlation_factor(leak, readings);
  const double u_fit_K = std::sqrt(slope.dot(leak.covariance * slope));
  // What a shift of the start costs: nothing but for the two rates.
  const double start_slope_K_per_s =
      std::abs(leak.fore_rate_per_s() - k) * std::abs(leak.start_degC - leak.rest_degC);
  estimate.budget = {
      {"scatter of the readings in both periods, with the fitted leak", u_fit_K, 'A'},
      {"neighbouring readings alike", u_fit_K * std::sqrt(factor - 1.0), 'A'},
      {"scatter of the readings in the main period", k * leak.sd_K * std::sqrt(sums.weights), 'A'},
      {"course between the readings of the main period", k * std::sqrt(sums.between_K2s2), 'B'},
      {"rounding of the display", std::hypot(rounding_u_K(fore, noise), rounding_u_K(after, noise)),
       'B'},
      {"time of mixing", start_slope_K_per_s * u_mixing_s, 'A'},
      {"lag of the probe", start_slope_K_per_s * usual_probe_lag_s, 'B'}};
  close_budget(estimate);
  estimate.dof = std::max(1.0, readings / factor - HeatLeak::parameter_count);
  return estimate;
}

void add_to_budget(RiseEstimate& estimate, BudgetLine line) {
  if (line.u_K <= 0.0) return;
  estimate.u_K = std::hypot(estimate.u_K, line.u_K);
  estimate.budget.push_back(std::move(line));
}

RiseEstimate straight_lines(CurveView fore, CurveView main, CurveView after, double mixing_s,
                            double main_end_s) {
  RiseEstimate estimate;
  estimate.method = "straight lines at the equal-area time";
  const LineFit before = fit_line(fore), behind = fit_line(after);
  const auto fore_at = [&](double time_s) { return before.at(time_s); };
  const auto after_at = [&](double time_s) { return behind.at(time_s); };
  const double cut_s = equal_area_time(main, mixing_s, main_end_s, fore_at, after_at);
  estimate.value_K = behind.at(cut_s) - before.at(cut_s);
  estimate.budget = {{"scatter about the foreperiod's line", before.u_at(cut_s), 'A'},
                     {"scatter about the after period's line", behind.u_at(cut_s), 'A'}};
  close_budget(estimate);
  estimate.dof = std::max(1.0, static_cast<double>(fore.size() + after.size()) - 4.0);
  estimate.note = "takes the drift of the after period as constant; u is scatter alone";
  return estimate;
}

Curve adiabatic_course(CurveView curve, const HeatLeak& leak) {
  Curve course;
  course.reserve(curve.size());
  const double k = leak.rate_per_s();
  double lost_K = 0.0;
  Point before{leak.mixing_s, leak.start_degC};
  for (const Point& point : curve) {
    if (point.time_s < leak.mixing_s) {
      course.push_back({point.time_s, point.temperature_degC - leak.fore_at(point.time_s)});
      continue;
    }
    const double mean = 0.5 * (before.temperature_degC + point.temperature_degC);
    lost_K += k * (point.time_s - before.time_s) * (mean - leak.rest_degC);
    course.push_back({point.time_s, point.temperature_degC + lost_K - leak.start_degC});
    before = point;
  }
  return course;
}

}  // namespace nestcup
