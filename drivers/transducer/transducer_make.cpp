// Transducer::make: the checks of the settings, and what can be worked out beforehand.
#include <fmt/format.h>

#include <cmath>

#include "drivers/transducer/platinum.hpp"
#include "drivers/transducer/thermistor.hpp"
#include "drivers/transducer/transducer.hpp"

namespace nestcup::drivers {

namespace {

/// An emf this part of the type's span beyond its range is no junction's any more.
constexpr double open_beyond_span = 0.02;
/// 1000 times: -80 degC for a usual thermistor; a 1000th: 300 degC.
constexpr double far_from_25_degC = 1000.0;

Error not_positive(const char* what, double found) {
  return {Fault::bad_configuration,
          fmt::format("the transducer's {} is {}, expected a positive number", what, found)};
}

Result<void> check_around(const std::optional<Divider>& divider,
                          const std::optional<SelfHeating>& heating) {
  const auto positive = [](double value) { return value > 0.0 && std::isfinite(value); };
  if (divider && !positive(divider->series_ohm)) {
    return not_positive("series resistor in ohm", divider->series_ohm);
  }
  if (divider && !positive(divider->full_scale)) {
    return not_positive("full scale", divider->full_scale);
  }
  if (heating && !positive(heating->dissipation_mW_per_K)) {
    return not_positive("dissipation in mW/K", heating->dissipation_mW_per_K);
  }
  return {};
}

double microvolt_of(RawUnit unit) {
  return unit == RawUnit::volt ? 1e6 : unit == RawUnit::millivolt ? 1e3 : 1.0;
}

}  // namespace

Result<void> Transducer::take(const ThermistorSettings& settings) {
  const auto law = steinhart_hart(settings.law);
  if (!law) return law.error();
  const double at_25_ohm = thermistor_ohm(*law, 25.0);
  kind_ = Thermistor{*law, at_25_ohm / far_from_25_degC, at_25_ohm * far_from_25_degC};
  divider_ = settings.divider;
  self_heating_ = settings.self_heating;
  return check_around(divider_, self_heating_);
}

Result<void> Transducer::take(const ThermocoupleSettings& settings) {
  const DegCRange range = thermocouple_range(settings.type);
  const double lowest_uV = thermocouple_emf_uV(settings.type, range.lowest_degC);
  const double highest_uV = thermocouple_emf_uV(settings.type, range.highest_degC);
  const double margin_uV = open_beyond_span * (highest_uV - lowest_uV);
  Thermocouple couple{settings.type,         settings.cold_degC,     std::nullopt,
                      lowest_uV - margin_uV, highest_uV + margin_uV, microvolt_of(unit_)};
  if (settings.cold_degC) {
    if (!range.holds(*settings.cold_degC)) {
      return Error{Fault::bad_configuration,
                   fmt::format("the cold junction is {} degC, expected {} to {} degC, where type "
                               "{} is defined",
                               *settings.cold_degC, range.lowest_degC, range.highest_degC,
                               thermocouple_letter(settings.type))};
    }
    couple.cold_uV = thermocouple_emf_uV(settings.type, *settings.cold_degC);
  }
  kind_ = couple;
  return {};
}

Result<void> Transducer::take(const PlatinumSettings& settings) {
  if (!(settings.r0_ohm > 0.0 && std::isfinite(settings.r0_ohm))) {
    return not_positive("resistance at 0 degC in ohm", settings.r0_ohm);
  }
  if (settings.wires < 2 || settings.wires > 4) {
    return Error{Fault::bad_configuration,
                 fmt::format("a platinum probe with {} wires, expected 2, 3 or 4", settings.wires)};
  }
  if (!(settings.lead_ohm >= 0.0 && std::isfinite(settings.lead_ohm))) {
    return Error{Fault::bad_configuration,
                 fmt::format("a lead of {} ohm, expected 0 or more", settings.lead_ohm)};
  }
  kind_ = Platinum{settings.r0_ohm, lead_term_ohm(settings)};
  divider_ = settings.divider;
  self_heating_ = settings.self_heating;
  return check_around(divider_, self_heating_);
}

Result<Transducer> Transducer::make(const TransducerSettings& settings, RawUnit unit) {
  Transducer transducer;
  transducer.unit_ = unit;
  transducer.fits_ = unit_fits(settings, unit);
  Result<void> taken;
  if (const auto* const thermistor = std::get_if<ThermistorSettings>(&settings)) {
    taken = transducer.take(*thermistor);
  } else if (const auto* const couple = std::get_if<ThermocoupleSettings>(&settings)) {
    taken = transducer.take(*couple);
  } else if (const auto* const platinum = std::get_if<PlatinumSettings>(&settings)) {
    taken = transducer.take(*platinum);
  }
  if (!taken) return taken.error();
  return transducer;
}

}  // namespace nestcup::drivers
