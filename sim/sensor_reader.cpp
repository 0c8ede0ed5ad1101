#include "sim/sensor_reader.hpp"

#include <array>

#include "sim/electronics.hpp"

namespace nestcup::sim {

namespace {

constexpr Bounds any_ohm{1e-3, 1e9};

std::optional<Divider> read_divider(TableReader& reader) {
  if (!reader.has("series_ohm")) return std::nullopt;
  Divider divider;
  divider.series_ohm = reader.number("series_ohm", any_ohm);
  constexpr std::array<std::string_view, 2> sides{"below", "above"};
  divider.probe_below = reader.choice("probe", sides, 0) == 0;
  divider.full_scale = reader.number("full_scale", {1e-9, 1e12}, divider.full_scale);
  return divider;
}

std::optional<SelfHeating> read_self_heating(TableReader& reader) {
  if (!reader.has("dissipation_mW_per_K")) return std::nullopt;
  SelfHeating heating;
  heating.dissipation_mW_per_K = reader.number("dissipation_mW_per_K", {1e-3, 1e6});
  heating.supply_V = reader.number("supply_V", {0.0, 100.0}, 0.0);
  heating.current_mA = reader.number("current_mA", {0.0, 1e3}, 0.0);
  return heating;
}

ThermistorSettings read_thermistor(TableReader& reader) {
  ThermistorSettings thermistor;
  if (reader.has("beta_K")) {
    BetaLaw law;
    law.beta_K = reader.number("beta_K", {100.0, 1e5});
    law.at_ohm = reader.number("at_ohm", any_ohm, law.at_ohm);
    law.at_degC = reader.number("at_degC", {-100.0, 300.0}, law.at_degC);
    thermistor.law = law;
  } else {
    SteinhartHart law;
    law.a = reader.number("a", {});
    law.b = reader.number("b", {});
    law.c = reader.number("c", {});
    thermistor.law = law;
  }
  thermistor.divider = read_divider(reader);
  thermistor.self_heating = read_self_heating(reader);
  if (const auto checked = check_sensor(thermistor); !checked) {
    reader.complain("kind", checked.error().text);
  }
  return thermistor;
}

PlatinumSettings read_platinum(TableReader& reader) {
  PlatinumSettings platinum;
  platinum.r0_ohm = reader.number("r0_ohm", any_ohm, platinum.r0_ohm);
  platinum.wires = static_cast<int>(reader.whole("wires", 2, platinum.wires));
  if (platinum.wires > 4) reader.complain("wires", "expected 2, 3 or 4");
  platinum.lead_ohm = reader.number("lead_ohm", {0.0, 1e6}, platinum.lead_ohm);
  platinum.divider = read_divider(reader);
  platinum.self_heating = read_self_heating(reader);
  return platinum;
}

ThermocoupleSettings read_thermocouple(TableReader& reader, std::string& cold) {
  constexpr std::array<std::string_view, 8> types{"B", "E", "J", "K", "N", "R", "S", "T"};
  ThermocoupleSettings couple;
  couple.type = static_cast<ThermocoupleType>(
      reader.choice("type", types, static_cast<std::size_t>(ThermocoupleType::K)));
  cold = reader.text("cold", "");
  if (reader.has("cold_degC")) couple.cold_degC = reader.number("cold_degC", {-50.0, 200.0});
  if (cold.empty() == !couple.cold_degC.has_value()) {
    reader.complain("cold",
                    "expected either the name of the probe at the cold junction or "
                    "cold_degC");
  }
  return couple;
}

}  // namespace

SensorTable read_sensor(TableReader& reader) {
  constexpr std::array<std::string_view, 3> sensor_kinds{"thermistor", "thermocouple", "platinum"};
  SensorTable read;
  if (!reader.has("kind")) reader.complain("kind", "missing");
  switch (reader.choice("kind", sensor_kinds, 3)) {
    case 0:
      read.sensor = read_thermistor(reader);
      break;
    case 1:
      read.sensor = read_thermocouple(reader, read.cold);
      break;
    case 2:
      read.sensor = read_platinum(reader);
      break;
    default:
      break;
  }
  reader.finish();
  return read;
}

}  // namespace nestcup::sim
