#include "core/sheet/transducer_text.hpp"

#include <fmt/format.h>

namespace nestcup {
namespace {

std::string law_text(const SteinhartHart& law) {
  return fmt::format("a {}, b {}, c {}", law.a, law.b, law.c);
}
std::string law_text(const BetaLaw& law) {
  return fmt::format("beta {} K, {} ohm at {} degC", law.beta_K, law.at_ohm, law.at_degC);
}
std::string law_text(const ThermistorPoints& law) {
  std::string text = "points";
  for (const auto& pair : law.pairs) text += fmt::format(" {} ohm at {} degC", pair.ohm, pair.degC);
  return text;
}

std::string divider_text(const std::optional<Divider>& divider) {
  if (!divider) return {};
  return fmt::format(", {} {} ohm, full scale {}", divider->probe_below ? "below" : "above",
                     divider->series_ohm, divider->full_scale);
}

std::string heating_text(const std::optional<SelfHeating>& heating) {
  if (!heating) return {};
  const std::string source = heating->supply_V > 0.0 ? fmt::format("{} V", heating->supply_V)
                                                     : fmt::format("{} mA", heating->current_mA);
  return fmt::format(", {} mW/K at {}", heating->dissipation_mW_per_K, source);
}

std::string kind_text(std::monostate, const ProbeSettings&) {
  return "temperature";
}
std::string kind_text(const ThermistorSettings& thermistor, const ProbeSettings&) {
  return fmt::format("thermistor, {}{}{}",
                     std::visit([](const auto& law) { return law_text(law); }, thermistor.law),
                     divider_text(thermistor.divider), heating_text(thermistor.self_heating));
}
std::string kind_text(const ThermocoupleSettings& couple, const ProbeSettings& probe) {
  const std::string cold =
      couple.cold_degC ? fmt::format("{} degC", *couple.cold_degC) : "another channel";
  const std::string unit =
      probe.cold ? fmt::format(" in {}", unit_name(probe.cold->channel.unit)) : "";
  return fmt::format("thermocouple {}, cold junction {}{}", thermocouple_letter(couple.type), cold,
                     unit);
}
std::string kind_text(const PlatinumSettings& platinum, const ProbeSettings&) {
  return fmt::format("platinum, {} ohm at 0 degC, {} wires of {} ohm{}{}", platinum.r0_ohm,
                     platinum.wires, platinum.lead_ohm, divider_text(platinum.divider),
                     heating_text(platinum.self_heating));
}

}  // namespace

std::string transducer_text(const ProbeSettings& probe) {
  std::string text =
      std::visit([&](const auto& kind) { return kind_text(kind, probe); }, probe.transducer);
  return fmt::format("{} in {}", text, unit_name(probe.channel.unit));
}

}  // namespace nestcup
