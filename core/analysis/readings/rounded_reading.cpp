#include "core/analysis/readings/rounded_reading.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace nestcup {
namespace {

double density(double z) {
  return std::exp(-0.5 * z * z) * std::numbers::inv_sqrtpi / std::numbers::sqrt2;
}

/// Phi(high) - Phi(low), exact in the tails, too.
double probability(double low, double high) {
  constexpr double scale = 1.0 / std::numbers::sqrt2;
  if (low > 0.0) return 0.5 * (std::erfc(low * scale) - std::erfc(high * scale));
  if (high < 0.0) return 0.5 * (std::erfc(-high * scale) - std::erfc(-low * scale));
  return 1.0 - 0.5 * (std::erfc(-low * scale) + std::erfc(high * scale));
}

/// Borders of a reading's rounding interval, in standard deviations from what is expected.
struct Interval {
  double low, high;

  Interval(double reading_degC, double expected_degC, const Noise& noise) {
    const double away = (reading_degC - expected_degC) / noise.sd_K;
    const double half = 0.5 * noise.step_K / noise.sd_K;
    low = away - half;
    high = away + half;
  }
  /// How far the expected temperature lies outside.
  [[nodiscard]] double outside() const { return std::max({0.0, low, -high}); }
};

/// Standard deviations outside from which on the probability underflows soon.
constexpr double far = 30.0;

/// ln P so far out.
double far_log_p(double outside) {
  return -0.5 * outside * outside - std::log(outside) - 0.919;
}

}  // namespace

ReadingLikelihood rounded_likelihood(double reading_degC, double expected_degC,
                                     const Noise& noise) {
  const Interval interval(reading_degC, expected_degC, noise);
  const double low = interval.low, high = interval.high, outside = interval.outside();
  if (outside > far) {
    const double sign = low > 0.0 ? 1.0 : -1.0;
    return {far_log_p(outside), sign * outside / noise.sd_K, 1.0 / (noise.sd_K * noise.sd_K),
            outside * outside};
  }
  const double p = probability(low, high);
  const double at_low = density(low), at_high = density(high);
  ReadingLikelihood likelihood;
  likelihood.log_p = std::log(p);
  const double score = (at_low - at_high) / p;
  likelihood.by_log_sd = (low * at_low - high * at_high) / p;
  likelihood.score_per_K = score / noise.sd_K;
  likelihood.curvature_per_K2 =
      std::max(0.0, score * score - likelihood.by_log_sd) / (noise.sd_K * noise.sd_K);
  return likelihood;
}

double rounded_probability(double reading_degC, double expected_degC, const Noise& noise) {
  const Interval interval(reading_degC, expected_degC, noise);
  constexpr double certain = 6.0;  // P differs from 1 by 2e-9
  if (interval.low < -certain && interval.high > certain) return 1.0;
  // Of a wide interval only the near border tells anything: the far one takes less than 1e-6 of P.
  constexpr double wide = 8.0, scale = 1.0 / std::numbers::sqrt2;
  if (interval.low < -wide && interval.high > -certain) {
    return 0.5 * std::erfc(-interval.high * scale);
  }
  if (interval.high > wide && interval.low < certain) {
    return 0.5 * std::erfc(interval.low * scale);
  }
  return probability(interval.low, interval.high);
}

double rounded_log_p(double reading_degC, double expected_degC, const Noise& noise) {
  const double outside = Interval(reading_degC, expected_degC, noise).outside();
  return outside > far ? far_log_p(outside)
                       : std::log(rounded_probability(reading_degC, expected_degC, noise));
}

void LogProduct::add(double reading_degC, double expected_degC, const Noise& noise) {
  constexpr double tiny = 1e-150;
  const double p = rounded_probability(reading_degC, expected_degC, noise);
  if (p < tiny) {
    sum_ += rounded_log_p(reading_degC, expected_degC, noise);
    return;
  }
  product_ *= p;
  if (product_ > tiny) return;
  sum_ += std::log(product_);
  product_ = 1.0;
}

double LogProduct::value() const {
  return sum_ + std::log(product_);
}

double rounded_information(double reading_degC, double expected_degC, const Noise& noise) {
  const double step = noise.step_K / noise.sd_K;
  // Borders of the rounding intervals in standard deviations from the expected temperature.
  double border = (reading_degC - expected_degC) / noise.sd_K + 0.5 * step;
  constexpr double reach = 8.0;
  border -= std::ceil((border + reach) / step) * step;
  double sum = 0.0, before = density(border);
  for (; border < reach; border += step) {
    const double here = density(border + step);
    const double p = probability(border, border + step);
    if (p > 1e-300) sum += (before - here) * (before - here) / p;
    before = here;
  }
  return sum / (noise.sd_K * noise.sd_K);
}

}  // namespace nestcup
