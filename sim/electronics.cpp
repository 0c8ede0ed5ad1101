#include "sim/electronics.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "drivers/transducer/divider.hpp"
#include "drivers/transducer/platinum.hpp"
#include "drivers/transducer/self_heating.hpp"
#include "drivers/transducer/thermistor.hpp"
#include "drivers/transducer/thermocouple.hpp"
#include "sim/probe.hpp"

namespace nestcup::sim {

namespace {

constexpr double infinite = std::numeric_limits<double>::infinity();
/// A board prints no more decimals than this.
constexpr int most_decimals = 12;

/// Number of decimals that write multiples of `step` exactly, at most `most_decimals`.
int decimals_of(double step) {
  int decimals = 0;
  while (decimals < most_decimals && std::abs(step - std::round(step)) > 1e-6 * step) {
    step *= 10.0;
    ++decimals;
  }
  return decimals;
}

/// What electronics without a last digit of its own prints: some nanovolts, micro-ohms,
/// microkelvin.
int decimals_without_step(RawUnit unit) {
  return unit == RawUnit::volt || unit == RawUnit::ratio ? 9 : 6;
}

int decimals_sent(const ProbeSettings& probe) {
  if (probe.sends == RawUnit::degC && probe.step_K > 0.0) return decimals_of_step(probe.step_K);
  if (probe.sends != RawUnit::degC && probe.step_raw > 0.0) return decimals_of(probe.step_raw);
  return decimals_without_step(probe.sends);
}

double rounded(double value, double step) {
  return step > 0.0 ? std::round(value / step) * step + 0.0 : value;
}

double temperature_in(RawUnit unit, double degC) {
  if (unit == RawUnit::kelvin) return degC + 273.15;
  if (unit == RawUnit::degF) return degC * 9.0 / 5.0 + 32.0;
  return degC;
}

double volts_in(RawUnit unit, double emf_uV) {
  if (unit == RawUnit::volt) return emf_uV * 1e-6;
  if (unit == RawUnit::millivolt) return emf_uV * 1e-3;
  return emf_uV;
}

Measured value_or_fault(double value, double step) {
  if (std::isnan(value)) return {0.0, Found::nothing};
  if (std::isinf(value)) return {0.0, Found::overload};
  return {rounded(value, step), Found::value};
}

double divider_output(const Divider& divider, double probe_ohm) {
  double ratio = divider.probe_below ? 1.0 : 0.0;
  if (!std::isinf(probe_ohm)) ratio = drivers::divider_ratio_of(divider, probe_ohm);
  return drivers::divider_reading(divider, ratio);
}

double thermistor_ohm(const ThermistorSettings& thermistor, const SteinhartHart& law, double degC) {
  double ohm = drivers::thermistor_ohm(law, degC);
  if (!thermistor.self_heating) return ohm;
  // The warmth is some hundredths of a kelvin, so that this settles by a factor of a thousand a
  // turn.
  for (int turn = 0; turn < 6; ++turn) {
    const double warmer_K =
        drivers::self_heating_K(*thermistor.self_heating, thermistor.divider, ohm);
    ohm = drivers::thermistor_ohm(law, degC + warmer_K);
  }
  return ohm;
}

double platinum_ohm(const PlatinumSettings& platinum, double degC) {
  double warmer_K = 0.0;
  double ohm = 0.0;
  for (int turn = 0; turn < 6; ++turn) {
    ohm = platinum.r0_ohm * drivers::platinum_ratio(degC + warmer_K);
    if (!platinum.self_heating) break;
    warmer_K = drivers::self_heating_K(*platinum.self_heating, platinum.divider, ohm);
  }
  return ohm;
}

Measured resistance(double probe_ohm, const std::optional<Divider>& divider, double step) {
  if (!divider) return value_or_fault(probe_ohm, step);
  Measured measured = value_or_fault(divider_output(*divider, probe_ohm), step);
  measured.value = std::clamp(measured.value, 0.0, divider->full_scale);
  return measured;
}

}  // namespace

std::vector<Channel> channels_of(const Scenario& scenario) {
  std::vector<Channel> channels;
  for (const ProbeSettings& probe : scenario.probes) {
    channels.push_back({probe.name, probe.sends, decimals_sent(probe), probe.registers});
  }
  return channels;
}

Result<void> check_sensor(const TransducerSettings& sensor) {
  const auto* const thermistor = std::get_if<ThermistorSettings>(&sensor);
  if (thermistor == nullptr) return {};
  const auto law = drivers::steinhart_hart(thermistor->law);
  if (!law) return law.error();
  return {};
}

Electronics::Electronics(const Scenario& scenario) {
  for (const ProbeSettings& probe : scenario.probes) {
    // What sends degC has been rounded by the probe itself.
    const double step = probe.sends == RawUnit::degC ? 0.0 : probe.step_raw;
    Input input{probe.sends, step, probe.sensor, {}, probe.junction};
    if (const auto* thermistor = std::get_if<ThermistorSettings>(&probe.sensor)) {
      // Scenarios are checked when they are read; one that was not gives no values.
      const auto law = drivers::steinhart_hart(thermistor->law);
      if (law) input.law = *law;
    }
    inputs_.push_back(input);
  }
}

Measured Electronics::measure_one(const Input& input, double reading_degC, Condition condition,
                                  double junction_degC) {
  const bool open = condition == Condition::open, shorted = condition == Condition::shorted;
  if (const auto* thermistor = std::get_if<ThermistorSettings>(&input.sensor)) {
    const double ohm = open      ? infinite
                       : shorted ? 0.0
                                 : thermistor_ohm(*thermistor, input.law, reading_degC);
    return resistance(ohm, thermistor->divider, input.step);
  }
  if (const auto* platinum = std::get_if<PlatinumSettings>(&input.sensor)) {
    const double element_ohm = open      ? infinite
                               : shorted ? 0.0
                                         : platinum_ohm(*platinum, reading_degC);
    return resistance(element_ohm + drivers::lead_term_ohm(*platinum), platinum->divider,
                      input.step);
  }
  if (const auto* couple = std::get_if<ThermocoupleSettings>(&input.sensor)) {
    if (open) return {0.0, Found::overload};
    const double cold_degC = couple->cold_degC.value_or(junction_degC);
    const double emf_uV = shorted ? 0.0
                                  : drivers::thermocouple_emf_uV(couple->type, reading_degC) -
                                        drivers::thermocouple_emf_uV(couple->type, cold_degC);
    return value_or_fault(volts_in(input.unit, emf_uV), input.step);
  }
  if (condition != Condition::whole) return {0.0, Found::nothing};
  return value_or_fault(temperature_in(input.unit, reading_degC), input.step);
}

std::vector<Measured> Electronics::measure(const std::vector<double>& readings_degC,
                                           const Bench& bench) const {
  std::vector<Measured> measured;
  for (std::size_t i = 0; i < inputs_.size(); ++i) {
    const auto junction = inputs_[i].junction;
    const double junction_degC = junction ? bench.probe_degC(*junction) : 0.0;
    measured.push_back(
        measure_one(inputs_[i], readings_degC[i], bench.condition(i), junction_degC));
  }
  return measured;
}

}  // namespace nestcup::sim
