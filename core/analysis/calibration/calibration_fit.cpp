#include "core/analysis/calibration/calibration_fit.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

namespace nestcup {
namespace {

/// A probe that is off by more stands in the wrong vessel, or its transducer is set wrongly.
constexpr double most_off_K = 10.0;
constexpr double most_slope = 0.2;
/// Nearer points tell no slope; and none is fitted unasked to points that are not clearly apart.
constexpr double least_span_K = 2.0, usual_span_K = 5.0;

double span_K(std::span<const CalibrationPoint> points) {
  if (points.empty()) return 0.0;
  const auto [low, high] = std::minmax_element(
      points.begin(), points.end(), [](const CalibrationPoint& a, const CalibrationPoint& b) {
        return a.reading_degC < b.reading_degC;
      });
  return high->reading_degC - low->reading_degC;
}

Result<void> check_points(std::span<const CalibrationPoint> points, CalibrationKind kind) {
  const bool line = kind == CalibrationKind::line;
  if (points.size() < (line ? 2U : 1U)) {
    return Error{Fault::usage, fmt::format("a calibration by {} needs {} or more, there are {}",
                                           line ? "a line" : "an offset",
                                           line ? "two points" : "one point", points.size())};
  }
  if (line && span_K(points) < least_span_K) {
    return Error{Fault::usage, fmt::format("the points span {:.2f} K, a line needs at least {} K; "
                                           "take a warmer or colder one, or an offset",
                                           span_K(points), least_span_K)};
  }
  for (const CalibrationPoint& point : points) {
    if (std::abs(point.correction_K()) <= most_off_K) continue;
    return Error{
        Fault::bad_data,
        fmt::format("the probe shows {:.2f} degC where {:.2f} degC should be; look whether "
                    "it stands in the right vessel, and at its transducer's settings",
                    point.reading_degC, point.true_degC)};
  }
  const auto known = [](const CalibrationPoint& point) { return point.u_K() > 0.0; };
  const bool all = std::all_of(points.begin(), points.end(), known);
  const bool none = std::none_of(points.begin(), points.end(), known);
  if (all || (none && points.size() > (line ? 2U : 1U))) return {};
  return Error{Fault::usage, "each point needs a standard uncertainty above 0"};
}

/// Sums of weighted least squares about the middle of the readings.
struct PointSums {
  double weight = 0.0, middle_degC = 0.0, offset_K = 0.0, slope = 0.0, spread = 0.0;
};

PointSums sums_of(std::span<const CalibrationPoint> points, std::span<const double> weights) {
  PointSums sums;
  for (std::size_t i = 0; i < points.size(); ++i) {
    sums.weight += weights[i];
    sums.middle_degC += weights[i] * points[i].reading_degC;
    sums.offset_K += weights[i] * points[i].correction_K();
  }
  sums.middle_degC /= sums.weight;
  sums.offset_K /= sums.weight;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const double away_K = points[i].reading_degC - sums.middle_degC;
    sums.spread += weights[i] * away_K * away_K;
    sums.slope += weights[i] * away_K * points[i].correction_K();
  }
  sums.slope = sums.spread > 0.0 ? sums.slope / sums.spread : 0.0;
  return sums;
}

/// Variance of the weighted mean with the errors of one source wholly shared.
double offset_variance(std::span<const CalibrationPoint> points, std::span<const double> weights,
                       double weight_sum) {
  std::map<std::string, double> shared;
  double variance = 0.0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const double share = weights[i] / weight_sum;
    shared[points[i].source] += share * points[i].u_true_K;
    variance += std::pow(share * points[i].u_reading_K, 2);
  }
  for (const auto& [source, u_K] : shared) variance += u_K * u_K;
  return variance;
}

/// Residuals, and by what factor their scatter exceeds what the weights say.
void take_residuals(std::span<const CalibrationPoint> points, std::span<const double> weights,
                    CalibrationFit& fit) {
  double squares = 0.0, chi_squared = 0.0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const double fitted_degC = fit.calibration.corrected_degC(points[i].reading_degC);
    fit.residuals_K.push_back(points[i].true_degC - fitted_degC);
    squares += std::pow(fit.residuals_K.back(), 2);
    chi_squared += weights[i] * std::pow(fit.residuals_K.back(), 2);
  }
  const std::size_t parameters = fit.calibration.kind == CalibrationKind::line ? 2 : 1;
  fit.rms_K = std::sqrt(squares / static_cast<double>(points.size()));
  if (points.size() <= parameters) return;
  fit.surplus = std::sqrt(chi_squared / static_cast<double>(points.size() - parameters));
}

}  // namespace

double CalibrationPoint::u_K() const {
  return std::hypot(u_true_K, u_reading_K);
}

Result<CalibrationFit> fit_calibration(std::span<const CalibrationPoint> points,
                                       CalibrationKind kind, double u_slope_otherwise) {
  if (auto fine = check_points(points, kind); !fine) return fine.error();
  const bool known = points.front().u_K() > 0.0;
  std::vector<double> weights;
  for (const CalibrationPoint& point : points) {
    weights.push_back(known ? 1.0 / (point.u_K() * point.u_K()) : 1.0);
  }
  const PointSums sums = sums_of(points, weights);
  CalibrationFit fit;
  Calibration& calibration = fit.calibration;
  calibration.kind = kind;
  calibration.reference_degC = sums.middle_degC;
  calibration.offset_K = sums.offset_K;
  if (kind == CalibrationKind::line) calibration.slope = sums.slope;
  if (std::abs(calibration.slope) > most_slope) {
    return Error{Fault::bad_data,
                 fmt::format("the line has a slope of {:.3f}, more than any usable "
                             "probe; look at the points and at the transducer's "
                             "settings",
                             calibration.slope)};
  }
  take_residuals(points, weights, fit);
  const double factor = known ? std::max(1.0, fit.surplus) : fit.surplus;
  const double u_mean_K =
      std::sqrt(known ? offset_variance(points, weights, sums.weight) : 1.0 / sums.weight);
  calibration.u_offset_K = factor * u_mean_K;
  const double u_slope = sums.spread > 0.0 ? factor / std::sqrt(sums.spread) : 0.0;
  const bool tells_slope = points.size() > 1 && span_K(points) >= usual_span_K;
  if (kind == CalibrationKind::line) {
    calibration.u_slope = u_slope;
  } else {
    // What an offset leaves out of a slope that shows is an error of its own.
    calibration.u_slope = tells_slope ? std::hypot(sums.slope, u_slope) : u_slope_otherwise;
  }
  return fit;
}

CalibrationKind usual_kind(std::span<const CalibrationPoint> points) {
  const bool line = points.size() > 1 && span_K(points) >= usual_span_K;
  return line ? CalibrationKind::line : CalibrationKind::offset;
}

}  // namespace nestcup
