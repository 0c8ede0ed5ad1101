#include "core/analysis/course/dissolving.hpp"

#include <cmath>

namespace nestcup {
namespace {

/// The supply times T as a polynomial in x, from its constant on.
std::array<double, 3> supply_of(SolidShape shape) {
  switch (shape) {
    case SolidShape::sheet:
      return {1.0, 0.0, 0.0};
    case SolidShape::rod:
      return {2.0, -2.0, 0.0};
    case SolidShape::grain:
      return {3.0, -6.0, 3.0};
    case SolidShape::skinned:
      return {0.0, 6.0, -6.0};
  }
  return {1.0, 0.0, 0.0};
}

constexpr std::size_t moments = 4;

/// R_j = integral from 0 to w of t^j exp(-rate (w - t)) dt, j from 0 to 3.
std::array<double, moments> faded_powers(double rate_per_s, double w_s) {
  std::array<double, moments> sums{};
  const double x = rate_per_s * w_s;
  constexpr double by_series = 0.5;
  if (x < by_series) {
    // w^(j+1) times the sum of (-x)^n j!/(j+1+n)!: the recursion would leave nothing of it.
    double power = w_s;
    for (std::size_t j = 0; j < moments; ++j, power *= w_s) {
      double term = 1.0 / static_cast<double>(j + 1);
      for (std::size_t n = j + 2; std::abs(term) > 1e-18; ++n) {
        sums[j] += term;
        term *= -x / static_cast<double>(n);
      }
      sums[j] *= power;
    }
    return sums;
  }
  sums[0] = -std::expm1(-x) / rate_per_s;
  double power = 1.0;
  for (std::size_t j = 1; j < moments; ++j) {
    power *= w_s;
    sums[j] = (power - static_cast<double>(j) * sums[j - 1]) / rate_per_s;
  }
  return sums;
}

}  // namespace

DissolvingResponse::DissolvingResponse(const ResponseTimes& times, SolidShape shape)
    : length_s_(times.pour_s), supply_(supply_of(shape)) {
  const auto [release, lag] = kept_apart(1.0 / times.release_s, 1.0 / times.lag_s);
  const std::array rates{release, lag, times.rate_per_s};
  for (std::size_t i = 0; i < rates.size(); ++i) {
    Pole& pole = poles_[i];
    pole = {rates[i], release * lag, {1.0, 1.0, 0.0}, supplied(rates[i], length_s_)};
    for (std::size_t other = 0; other < rates.size(); ++other) {
      if (other == i) continue;
      const double apart = rates[other] - rates[i];
      pole.residue /= apart;
      pole.by_log[other] -= rates[other] / apart;
      pole.by_log[i] += rates[i] / apart;
    }
  }
}

DissolvingResponse::Supplied DissolvingResponse::supplied(double rate_per_s, double since_s) const {
  const auto faded = faded_powers(rate_per_s, since_s);
  Supplied sum;
  double scale = 1.0 / length_s_;
  for (std::size_t j = 0; j < supply_.size(); ++j, scale /= length_s_) {
    sum.value += scale * supply_[j] * faded[j];
    sum.by_log_rate -= scale * supply_[j] * rate_per_s * (since_s * faded[j] - faded[j + 1]);
  }
  return sum;
}

DissolvingResponse::Supplied DissolvingResponse::seen(const Pole& pole, double since_s) const {
  if (since_s <= length_s_) return supplied(pole.rate_per_s, since_s);
  const double ended = pole.rate_per_s * (since_s - length_s_), left = fading(ended);
  return {left * pole.whole.value, left * (pole.whole.by_log_rate - ended * pole.whole.value)};
}

double DissolvingResponse::value_at(double since_s) const {
  double value = 0.0;
  if (since_s <= 0.0) return value;
  for (const Pole& pole : poles_) value += pole.residue * seen(pole, since_s).value;
  return value;
}

double DissolvingResponse::settled(double since_s) const {
  const Pole& leak = poles_.back();
  return leak.residue * leak.whole.value * std::exp(-leak.rate_per_s * (since_s - length_s_));
}

/// The residues add up to nothing, so that what the supply itself adds to a slope falls out. The
/// share hangs on products of times and rates alone: with all rates it changes as with all times.
Share DissolvingResponse::at(double since_s) const {
  Share share;
  if (since_s <= 0.0) return share;
  std::array<double, 3> by_log{};
  for (std::size_t i = 0; i < poles_.size(); ++i) {
    const Pole& pole = poles_[i];
    const Supplied sum = seen(pole, since_s);
    const double part = pole.residue * sum.value;
    share.value += part;
    share.by_time_per_s -= pole.rate_per_s * part;
    share.by_log_pour += pole.residue * (sum.by_log_rate + since_s * pole.rate_per_s * sum.value);
    by_log[i] += pole.residue * sum.by_log_rate;
    for (std::size_t other = 0; other < by_log.size(); ++other) {
      by_log[other] += part * pole.by_log[other];
    }
  }
  share.by_log_release = -by_log[0];
  share.by_log_lag = -by_log[1];
  share.by_log_rate = by_log[2];
  share.leak = std::exp(-poles_.back().rate_per_s * since_s);
  return share;
}

}  // namespace nestcup
