#include "drivers/transducer/transducer.hpp"

#include <cmath>

#include "drivers/transducer/divider.hpp"
#include "drivers/transducer/platinum.hpp"
#include "drivers/transducer/self_heating.hpp"
#include "drivers/transducer/temperature.hpp"
#include "drivers/transducer/thermistor.hpp"

namespace nestcup::drivers {

namespace {

/// A converter's last code and the one before may both stand for its end: 1023 of 1024, with noise.
constexpr double counts_at_rail = 1.5;
/// More than references and supplies differ.
constexpr double beyond_scale = 0.05;
constexpr double platinum_short_ratio = 0.1;
constexpr double platinum_open_ratio = 4.5;

constexpr auto out_of_range = TransducerFault::out_of_range;

/// Only a finite number is a temperature.
Conversion finite(double value) {
  if (std::isfinite(value)) return value;
  return out_of_range;
}

double from_degC(double degC, RawUnit unit) {
  if (unit == RawUnit::kelvin) return degC + 273.15;
  return unit == RawUnit::degF ? degC * 9.0 / 5.0 + 32.0 : degC;
}

}  // namespace

std::string_view fault_text(TransducerFault fault) {
  switch (fault) {
    case TransducerFault::open_circuit:
      return "open circuit";
    case TransducerFault::short_circuit:
      return "short circuit";
    case TransducerFault::out_of_range:
      return "out of range";
    case TransducerFault::no_cold_junction:
      return "no cold junction";
    case TransducerFault::wrong_unit:
      return "wrong unit";
  }
  return "out of range";
}

Conversion Transducer::to_degC(double raw, std::optional<double> cold_degC) const {
  if (!fits_) return TransducerFault::wrong_unit;
  if (!std::isfinite(raw)) return out_of_range;
  if (std::holds_alternative<std::monostate>(kind_)) {
    const double degC = drivers::to_degC(raw, unit_);
    return degC >= -273.15 ? finite(degC) : Conversion{out_of_range};
  }
  if (const auto* const couple = std::get_if<Thermocouple>(&kind_)) {
    return from_emf(*couple, raw, cold_degC);
  }
  return from_resistance(raw);
}

Conversion Transducer::from_emf(const Thermocouple& couple, double raw,
                                std::optional<double> cold_degC) const {
  const double measured_uV = raw * couple.microvolt;
  if (measured_uV > couple.highest_uV) return TransducerFault::open_circuit;
  std::optional<double> cold_uV = couple.cold_uV;
  if (!cold_uV) {
    if (!cold_degC || !std::isfinite(*cold_degC)) return TransducerFault::no_cold_junction;
    cold_uV = thermocouple_emf_uV(couple.type, *cold_degC);
  }
  const double emf_uV = measured_uV + *cold_uV;
  if (emf_uV < couple.lowest_uV || emf_uV > couple.highest_uV) return TransducerFault::open_circuit;
  const auto degC = thermocouple_degC(couple.type, emf_uV);
  return degC ? Conversion{*degC} : Conversion{out_of_range};
}

/// The resistance of probe and leads, or what the divider's end says.
Conversion Transducer::probe_ohm(double raw) const {
  if (!divider_) return raw;
  const double ratio = divider_ratio(*divider_, raw);
  if (ratio < -beyond_scale || ratio > 1.0 + beyond_scale) return out_of_range;
  const double rail = unit_ == RawUnit::count ? counts_at_rail / divider_->full_scale : 0.0;
  const double across_probe = divider_->probe_below ? ratio : 1.0 - ratio;
  if (across_probe <= rail) return TransducerFault::short_circuit;
  if (across_probe >= 1.0 - rail) return TransducerFault::open_circuit;
  return divider_ohm(*divider_, ratio);
}

Conversion Transducer::from_resistance(double raw) const {
  const Conversion whole = probe_ohm(raw);
  const double* const whole_ohm = std::get_if<double>(&whole);
  if (whole_ohm == nullptr) return whole;
  const double ohm = *whole_ohm - lead_ohm();
  const Conversion element = element_degC(ohm);
  const double* const degC = std::get_if<double>(&element);
  if (degC == nullptr || !self_heating_) return element;
  return finite(*degC - heating_K(ohm));
}

double Transducer::heating_K(double ohm) const {
  if (!self_heating_) return 0.0;
  std::optional<Divider> around = divider_;
  if (around) around->series_ohm += lead_ohm();
  return self_heating_K(*self_heating_, around, ohm);
}

double Transducer::lead_ohm() const {
  const auto* const platinum = std::get_if<Platinum>(&kind_);
  return platinum == nullptr ? 0.0 : platinum->lead_ohm;
}

DegCRange Transducer::element_range() const {
  if (std::holds_alternative<Platinum>(kind_)) return {lowest_platinum_degC, highest_platinum_degC};
  return {lowest_thermistor_degC, highest_thermistor_degC};
}

Conversion Transducer::element_degC(double ohm) const {
  if (const auto* const platinum = std::get_if<Platinum>(&kind_)) {
    const double ratio = ohm / platinum->r0_ohm;
    if (ratio < platinum_short_ratio) return TransducerFault::short_circuit;
    if (ratio > platinum_open_ratio) return TransducerFault::open_circuit;
    return finite(platinum_degC(ratio));
  }
  const auto& thermistor = std::get<Thermistor>(kind_);
  if (ohm < thermistor.lowest_ohm) return TransducerFault::short_circuit;
  if (ohm > thermistor.highest_ohm) return TransducerFault::open_circuit;
  const double degC = thermistor_degC(thermistor.law, ohm);
  return element_range().holds(degC) ? Conversion{degC} : Conversion{out_of_range};
}

double Transducer::element_ohm(double degC) const {
  if (const auto* const platinum = std::get_if<Platinum>(&kind_)) {
    return platinum->r0_ohm * platinum_ratio(degC);
  }
  return thermistor_ohm(std::get<Thermistor>(kind_).law, degC);
}

Conversion Transducer::to_raw(double degC, std::optional<double> cold_degC) const {
  if (!fits_) return TransducerFault::wrong_unit;
  if (std::holds_alternative<std::monostate>(kind_)) {
    return degC >= -273.15 ? finite(from_degC(degC, unit_)) : Conversion{out_of_range};
  }
  if (const auto* const couple = std::get_if<Thermocouple>(&kind_)) {
    if (couple->cold_degC) cold_degC = couple->cold_degC;
    if (!cold_degC || !std::isfinite(*cold_degC)) return TransducerFault::no_cold_junction;
    const double emf_uV = thermocouple_emf_uV(couple->type, degC);
    return finite((emf_uV - thermocouple_emf_uV(couple->type, *cold_degC)) / couple->microvolt);
  }
  const auto element = heated_degC(degC);
  if (!element || !element_range().holds(*element)) return out_of_range;
  const double ohm = element_ohm(*element) + lead_ohm();
  return finite(divider_ ? divider_reading(*divider_, divider_ratio_of(*divider_, ohm)) : ohm);
}

/// The secant's way to the temperature at which what the current warms the element by fits.
std::optional<double> Transducer::heated_degC(double around_degC) const {
  if (!self_heating_ || !element_range().holds(around_degC)) return around_degC;
  const auto excess_K = [&](double element) {
    return element - heating_K(element_ohm(element)) - around_degC;
  };
  double before = around_degC;
  double before_K = excess_K(before);
  double now = before - before_K;
  for (int i = 0; i < 50; ++i) {
    const double now_K = excess_K(now);
    if (std::fabs(now_K) < 1e-11 || now == before) return now;
    const double next = now - now_K * (now - before) / (now_K - before_K);
    before = now;
    before_K = now_K;
    now = next;
    if (!element_range().holds(now)) return std::nullopt;
  }
  return std::nullopt;
}

}  // namespace nestcup::drivers
