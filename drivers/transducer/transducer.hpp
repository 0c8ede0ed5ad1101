// Transducer: what a device sends, in its unit, to a temperature in degC, and back.
//
// Pure arithmetic; ranges, accuracies and sources stand in the headers of each kind. What shows
// that there is no temperature:
// divider: a reading at the rail that an open probe gives (to 1.5 count) is open, at the other rail
//   a short; more than 5 % of the scale beyond a rail it is out of range.
// thermistor: over 1000 times its resistance at 25 degC (about -80 degC) is open, under 1/1000 of
//   it (about 300 degC) a short; other than -60 to 250 degC is out of range.
// platinum: over 4.5 R0 (1060 degC) is open, under 0.1 R0 (-220 degC) a short; other than -200 to
//   850 degC is out of range.
// thermocouple: an emf that is beyond the type's range by 2 % of its span, as an amplifier gives
//   that pulls an open junction up or down, is open; beyond the range by less (type B: below
//   50 degC) it is out of range. A short cannot be seen: it is a junction where the short is, and
//   at the amplifier's terminals that reads as the cold junction's temperature.
// A reading that is no number is out of range. The cold junction must lie within the type's range.
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>
#include <variant>

#include "core/base/result.hpp"
#include "core/sheet/transducer_settings.hpp"
#include "drivers/transducer/thermocouple.hpp"

namespace nestcup::drivers {

enum class TransducerFault : std::uint8_t {
  open_circuit,
  short_circuit,
  out_of_range,      ///< of the probe, or not a number
  no_cold_junction,  ///< a thermocouple whose cold junction is not known now
  wrong_unit,        ///< not what this transducer takes, such as degC for a thermistor
};

/// "open circuit", ...
[[nodiscard]] std::string_view fault_text(TransducerFault fault);

/// A finite number, or why there is none.
using Conversion = std::variant<double, TransducerFault>;

/// One probe's conversion, with all that is constant worked out beforehand.
class Transducer {
 public:
  /// @param unit  what the device sends; of one that does not fit, every reading is wrong_unit
  /// @errors bad_configuration: a thermistor's law that is none, or a resistance, scale or
  ///         dissipation that is not a positive number
  [[nodiscard]] static Result<Transducer> make(const TransducerSettings& settings, RawUnit unit);

  /// The temperature in degC.
  /// @param raw        in the unit of `make`
  /// @param cold_degC  a thermocouple's cold junction now; the fixed one of the settings wins
  [[nodiscard]] Conversion to_degC(double raw,
                                   std::optional<double> cold_degC = std::nullopt) const;

  /// What the device would send at this temperature of the probe's surroundings (self-heating
  /// included), in the unit of `make`; counts are not rounded. The inverse of to_degC within the
  /// range.
  [[nodiscard]] Conversion to_raw(double degC,
                                  std::optional<double> cold_degC = std::nullopt) const;

 private:
  struct Thermistor {
    SteinhartHart law;
    double lowest_ohm;   ///< below: a short
    double highest_ohm;  ///< above: open
  };
  struct Platinum {
    double r0_ohm;
    double lead_ohm;  ///< of all leads in the measurement
  };
  struct Thermocouple {
    ThermocoupleType type;
    std::optional<double> cold_degC;
    std::optional<double> cold_uV;  ///< of the fixed cold junction
    double lowest_uV;               ///< below: open
    double highest_uV;              ///< above: open
    double microvolt;               ///< one unit sent
  };

  Transducer() = default;
  [[nodiscard]] Result<void> take(const ThermistorSettings& settings);
  [[nodiscard]] Result<void> take(const ThermocoupleSettings& settings);
  [[nodiscard]] Result<void> take(const PlatinumSettings& settings);
  [[nodiscard]] Conversion from_emf(const Thermocouple& couple, double raw,
                                    std::optional<double> cold_degC) const;
  [[nodiscard]] Conversion from_resistance(double raw) const;
  [[nodiscard]] Conversion element_degC(double ohm) const;
  [[nodiscard]] double element_ohm(double degC) const;
  [[nodiscard]] Conversion probe_ohm(double raw) const;
  [[nodiscard]] double lead_ohm() const;
  [[nodiscard]] double heating_K(double ohm) const;
  [[nodiscard]] std::optional<double> heated_degC(double around_degC) const;
  [[nodiscard]] DegCRange element_range() const;

  std::variant<std::monostate, Thermistor, Platinum, Thermocouple> kind_;
  std::optional<Divider> divider_;
  std::optional<SelfHeating> self_heating_;
  RawUnit unit_ = RawUnit::degC;
  bool fits_ = true;
};

}  // namespace nestcup::drivers
