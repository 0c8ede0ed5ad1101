#include "core/analysis/rise/heat_leak.hpp"

#include <algorithm>
#include <cmath>

#include "core/analysis/course/damped_scoring.hpp"
#include "core/analysis/readings/line_fit.hpp"

namespace nestcup {
namespace {

using Vector = HeatLeak::Vector;
using Matrix = HeatLeak::Matrix;

/// Prior means and standard deviations of the three parameters that short periods leave open.
struct Prior {
  double rest_degC, u_rest_K;
  double log_rate = std::log(3e-4), u_log_rate = std::log(4.0);
  double log_ratio = 0.3, u_log_ratio = 0.35;

  Prior(const HeatLeak& start, const RoomKnowledge& room)
      : rest_degC(room.room_degC.value_or(start.start_degC)),
        u_rest_K(room.room_degC ? 1.0 : 4.0) {}
};

using Residuals = CostForm<HeatLeak::parameter_count>;

HeatLeak moved(HeatLeak model, const Vector& step) {
  model.start_degC += step(0);
  model.rest_degC += step(1);
  model.log_rate += step(2);
  model.log_ratio += step(3);
  model.end_degC += step(4);
  return model;
}

/// Residuals of all readings, divided by the scatter, with their derivatives.
Residuals residuals(const HeatLeak& model, CurveView fore, CurveView after, double sd_K) {
  Residuals sums;
  const double fore_rate = model.fore_rate_per_s(), after_rate = model.rate_per_s();
  for (const Point& point : fore) {
    const double x = fore_rate * (point.time_s - model.mixing_s);
    const double decay = std::exp(-x), away = model.start_degC - model.rest_degC;
    const double by_rate = -away * x * decay;
    const Vector slope{decay, 1.0 - decay, by_rate, by_rate, 0.0};
    sums.add(slope / sd_K, (point.temperature_degC - model.rest_degC - away * decay) / sd_K);
  }
  for (const Point& point : after) {
    const double x = after_rate * (point.time_s - model.main_end_s);
    const double decay = std::exp(-x), away = model.end_degC - model.rest_degC;
    const Vector slope{0.0, 1.0 - decay, -away * x * decay, 0.0, decay};
    sums.add(slope / sd_K, (point.temperature_degC - model.rest_degC - away * decay) / sd_K);
  }
  return sums;
}

void add_prior(Residuals& sums, const HeatLeak& model, const Prior& prior) {
  const auto add = [&](int index, double distance, double u) {
    Vector slope = Vector::Zero();
    slope(index) = 1.0 / u;
    sums.add(slope, distance / u);
  };
  add(1, prior.rest_degC - model.rest_degC, prior.u_rest_K);
  add(2, prior.log_rate - model.log_rate, prior.u_log_rate);
  add(3, prior.log_ratio - model.log_ratio, prior.u_log_ratio);
}

Residuals with_prior(const HeatLeak& model, CurveView fore, CurveView after, double sd_K,
                     const Prior& prior) {
  Residuals sums = residuals(model, fore, after, sd_K);
  add_prior(sums, model, prior);
  return sums;
}

HeatLeak minimised(const HeatLeak& start, CurveView fore, CurveView after, double sd_K,
                   const Prior& prior) {
  Vector change = Vector::Zero();
  const auto form = [&](const Vector& by) {
    return with_prior(moved(start, by), fore, after, sd_K, prior);
  };
  minimise<HeatLeak::parameter_count>(form, [](const Vector& by) { return by; }, change,
                                      {60, 1e-7});
  return moved(start, change);
}

/// Lag-one correlation of the residuals within one period; pairs of neighbours only.
void add_correlation(const HeatLeak& model, CurveView part, bool is_fore, double& products,
                     double& squares) {
  double before = 0.0;
  for (std::size_t i = 0; i < part.size(); ++i) {
    const double course = is_fore ? model.fore_at(part[i].time_s) : model.after_at(part[i].time_s);
    const double residual = part[i].temperature_degC - course;
    if (i > 0) products += residual * before;
    squares += residual * residual;
    before = residual;
  }
}

}  // namespace

double HeatLeak::rate_per_s() const {
  return std::exp(log_rate);
}
double HeatLeak::fore_rate_per_s() const {
  return std::exp(log_rate + log_ratio);
}

double HeatLeak::fore_at(double time_s) const {
  return rest_degC + (start_degC - rest_degC) * std::exp(-fore_rate_per_s() * (time_s - mixing_s));
}

double HeatLeak::after_at(double time_s) const {
  return rest_degC + (end_degC - rest_degC) * std::exp(-rate_per_s() * (time_s - main_end_s));
}

HeatLeak fit_heat_leak(CurveView fore, CurveView after, double mixing_s, double main_end_s,
                       const Noise& noise, const RoomKnowledge& room) {
  HeatLeak model;
  model.mixing_s = mixing_s;
  model.main_end_s = main_end_s;
  model.start_degC = fit_line(fore).at(mixing_s);
  model.end_degC = fit_line(after).at(main_end_s);
  const Prior prior(model, room);
  model.rest_degC = prior.rest_degC;
  model.log_rate = prior.log_rate;
  model.log_ratio = prior.log_ratio;

  double sd_K = std::max(noise.total_K(), 1e-4);
  model = minimised(model, fore, after, sd_K, prior);
  double products = 0.0, squares = 0.0;
  add_correlation(model, fore, true, products, squares);
  add_correlation(model, after, false, products, squares);
  const auto readings = static_cast<double>(fore.size() + after.size());
  model.dof = std::max(1.0, readings - HeatLeak::parameter_count);
  model.sd_K = std::sqrt(squares / model.dof);
  model.correlation = squares > 0.0 ? std::clamp(products / squares, -1.0, 1.0) : 0.0;
  // Never believe a scatter below what the readings show singly: few readings can lie on a line
  // by chance.
  sd_K = std::max(model.sd_K, 0.8 * sd_K);
  model.sd_K = sd_K;
  model = minimised(model, fore, after, sd_K, prior);
  model.covariance = with_prior(model, fore, after, sd_K, prior).normal.inverse();
  return model;
}

}  // namespace nestcup
