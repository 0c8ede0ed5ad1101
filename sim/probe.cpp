#include "sim/probe.hpp"

#include <fmt/format.h>

#include <cmath>
#include <numeric>

#include "core/base/numbers.hpp"

namespace nestcup::sim {

namespace {

/// Heat exchange (1/s) of the part of a probe in liquid and of the part in air.
double liquid_exchange_per_s(const ProbeSettings& probe) {
  return probe.immersed / probe.lag_s;
}
double air_exchange_per_s(const ProbeSettings& probe) {
  return (1.0 - probe.immersed) / probe.air_lag_s;
}

/// Whether the part in the air takes part at all: what has no lag is as warm as what it touches.
bool stem_counts(const ProbeSettings& probe) {
  return probe.immersed < 1.0 && probe.lag_s > 0.0 && probe.air_lag_s > 0.0;
}

}  // namespace

int decimals_of_step(double step_K) {
  int decimals = 0;
  double scaled = step_K;
  while (decimals < 6 && std::abs(scaled - std::round(scaled)) > 1e-6) {
    scaled *= 10.0;
    ++decimals;
  }
  return decimals;
}

std::string reading_text(double temperature_degC, double step_K) {
  if (step_K <= 0.0) return number_text(temperature_degC);
  return fmt::format("{:.{}f}", temperature_degC, decimals_of_step(step_K));
}

Probe::Probe(const ProbeSettings& settings, std::uint64_t seed, std::uint64_t stream)
    : settings_(settings),
      place_(settings.place),
      liquid_lag_s_(settings.lag_s),
      liquid_share_(1.0),
      random_(seed, stream) {
  if (stem_counts(settings_)) {
    const double liquid = liquid_exchange_per_s(settings_), air = air_exchange_per_s(settings_);
    liquid_lag_s_ = 1.0 / (liquid + air);
    liquid_share_ = liquid / (liquid + air);
  }
  if (settings_.step_K > 0.0) decimal_scale_ = std::pow(10.0, decimals_of_step(settings_.step_K));
}

double Probe::lag_s(bool in_liquid) const {
  return in_liquid ? liquid_lag_s_ : settings_.air_lag_s;
}

double Probe::liquid_target_degC(double liquid_degC, double air_degC) const {
  if (liquid_share_ == 1.0) return liquid_degC;
  return air_degC + liquid_share_ * (liquid_degC - air_degC);
}

double Probe::air_target_degC(double air_degC, double time_s) const {
  if (!wet_) return air_degC;
  return air_degC - settings_.evaporation_K * std::exp((wet_since_s_ - time_s) / settings_.dry_s);
}

void Probe::carry(Place to, double time_s) {
  if (place_ != Place::air && to == Place::air) {
    wet_ = true;
    wet_since_s_ = time_s;
  }
  place_ = to;
}

void Probe::knock(double offset_K, double until_s) {
  knock_K_ = offset_K;
  knock_until_s_ = until_s;
}

double Probe::mean_with(double reading_degC) {
  newest_.push_back(reading_degC);
  if (newest_.size() > settings_.averaged) newest_.pop_front();
  return std::accumulate(newest_.begin(), newest_.end(), 0.0) / static_cast<double>(newest_.size());
}

double Probe::read(double temperature_degC, double time_s) {
  double shown = temperature_degC + settings_.noise_K * random_.gaussian();
  shown += settings_.offset_K + settings_.scale_error * (temperature_degC - no_scale_error_degC);
  if (time_s < knock_until_s_) shown += knock_K_;
  if (settings_.averaged > 1) shown = mean_with(shown);
  if (decimal_scale_ == 0.0) return shown;
  // The double nearest to the decimal text, so that text and number are the same reading. Adding
  // zero turns a rounded-off minus zero into zero.
  const double multiple = std::round(shown / settings_.step_K) * settings_.step_K;
  return std::round(multiple * decimal_scale_) / decimal_scale_ + 0.0;
}

}  // namespace nestcup::sim
