// What a bench file says of the transducer between a quantity on the line and a temperature: plain
// checked values. The conversions themselves are in drivers/transducer.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string_view>
#include <variant>

namespace nestcup {

/// What a device sends, in which unit.
enum class RawUnit : std::uint8_t {
  degC,
  degF,
  kelvin,
  ohm,
  count,  ///< of an analogue-to-digital converter
  ratio,  ///< of a divider's output to its supply, 0 to 1
  volt,
  millivolt,
  microvolt,
};

/// The unit as bench files, records and the store spell it.
[[nodiscard]] constexpr std::string_view unit_name(RawUnit unit) {
  constexpr std::array<std::string_view, 9> names{"degC",  "degF", "K",  "ohm", "count",
                                                  "ratio", "V",    "mV", "uV"};
  return names[static_cast<std::size_t>(unit)];
}

/// Whether the unit is one of temperature, so that no transducer is needed.
[[nodiscard]] constexpr bool is_temperature(RawUnit unit) {
  return unit == RawUnit::degC || unit == RawUnit::degF || unit == RawUnit::kelvin;
}

/// 1/T = a + b ln R + c (ln R)^3, T in K, R in ohm.
struct SteinhartHart {
  double a = 0.0;
  double b = 0.0;
  double c = 0.0;
};

/// 1/T = 1/T_at + ln(R/R_at)/beta.
struct BetaLaw {
  double beta_K = 3950.0;
  double at_ohm = 10'000.0;
  double at_degC = 25.0;
};

/// Three measured pairs, through which a Steinhart-Hart curve is laid.
struct ThermistorPoints {
  struct Pair {
    double ohm = 0.0;
    double degC = 0.0;
  };
  std::array<Pair, 3> pairs;
};

/// A thermistor (or any resistance probe) in series with a known resistor across a supply; the
/// voltage across the lower of the two is what is measured.
struct Divider {
  double series_ohm = 10'000.0;
  bool probe_below = true;  ///< the probe is the lower one, between output and ground
  double full_scale = 1.0;  ///< reading, in the unit sent, that stands for the whole supply
};

/// The current through a probe warms it by its power over its dissipation constant.
struct SelfHeating {
  double dissipation_mW_per_K = 7.0;
  double supply_V = 0.0;    ///< across divider and probe; 0 where `current_mA` says it
  double current_mA = 0.0;  ///< through the probe; 0 where `supply_V` says it
};

struct ThermistorSettings {
  std::variant<SteinhartHart, BetaLaw, ThermistorPoints> law;
  std::optional<Divider> divider{};  ///< none where the device sends ohm
  std::optional<SelfHeating> self_heating{};
};

enum class ThermocoupleType : std::uint8_t { B, E, J, K, N, R, S, T };

/// The letter of the type, as the standard writes it.
[[nodiscard]] constexpr char thermocouple_letter(ThermocoupleType type) {
  return "BEJKNRST"[static_cast<std::size_t>(type)];
}

struct ThermocoupleSettings {
  ThermocoupleType type = ThermocoupleType::K;
  std::optional<double> cold_degC{};  ///< nothing: another channel of the port gives it
};

/// Platinum resistance after IEC 60751.
struct PlatinumSettings {
  double r0_ohm = 100.0;
  int wires = 4;          ///< 2, 3 or 4
  double lead_ohm = 0.0;  ///< of one lead; taken off twice with 2 wires, once with 3
  std::optional<Divider> divider{};
  std::optional<SelfHeating> self_heating{};
};

/// The first: the device sends a temperature.
using TransducerSettings =
    std::variant<std::monostate, ThermistorSettings, ThermocoupleSettings, PlatinumSettings>;

/// Whether what a device sends in this unit is what the transducer takes: ohm without a divider,
/// count, ratio or voltage with one, a voltage from a thermocouple, a temperature without any.
[[nodiscard]] constexpr bool unit_fits(const TransducerSettings& transducer, RawUnit unit) {
  const bool is_voltage =
      unit == RawUnit::volt || unit == RawUnit::millivolt || unit == RawUnit::microvolt;
  if (std::holds_alternative<std::monostate>(transducer)) return is_temperature(unit);
  if (std::holds_alternative<ThermocoupleSettings>(transducer)) return is_voltage;
  const auto* const thermistor = std::get_if<ThermistorSettings>(&transducer);
  const bool has_divider = thermistor != nullptr
                               ? thermistor->divider.has_value()
                               : std::get<PlatinumSettings>(transducer).divider.has_value();
  if (!has_divider) return unit == RawUnit::ohm;
  return is_voltage || unit == RawUnit::count || unit == RawUnit::ratio;
}

}  // namespace nestcup
