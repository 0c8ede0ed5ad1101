#include "tools/convert/probe.hpp"

#include <algorithm>

#include "core/base/numbers.hpp"

namespace nestcup {

namespace {

ThermistorPoints read_points(Numbers& numbers) {
  ThermistorPoints points;
  const std::vector<std::string> words = numbers.parsed().texts("point");
  if (words.size() != points.pairs.size()) {
    numbers.keep(
        usage_error(fmt::format("option --point is given {} times, expected three: one for each "
                                "point, OHM,DEGC",
                                words.size())));
    return points;
  }
  for (std::size_t i = 0; i < points.pairs.size(); ++i) {
    const std::size_t comma = std::min(words[i].find(','), words[i].size());
    const auto ohm = parse_number(words[i].substr(0, comma));
    const auto degC = parse_number(words[i].substr(std::min(comma + 1, words[i].size())));
    if (!ohm || !degC) {
      numbers.keep(usage_error(
          fmt::format("option --point: '{}' is not OHM,DEGC, such as 9814,25", words[i])));
      return points;
    }
    points.pairs[i] = {*ohm, *degC};
  }
  return points;
}

std::variant<SteinhartHart, BetaLaw, ThermistorPoints> read_law(Numbers& numbers) {
  const bool has_coefficients = numbers.given("a") || numbers.given("b") || numbers.given("c");
  const bool has_beta = numbers.given("beta-K") || numbers.given("at-ohm");
  const bool has_points = numbers.given("point");
  if (static_cast<int>(has_coefficients) + static_cast<int>(has_beta) +
          static_cast<int>(has_points) !=
      1) {
    numbers.keep(usage_error(
        "a thermistor needs its law in one of three ways: --a, --b and --c (Steinhart-Hart), or "
        "--beta-K and --at-ohm, or three times --point OHM,DEGC"));
  }
  if (has_points) return read_points(numbers);
  if (has_beta) {
    BetaLaw law;
    law.beta_K = numbers.required("beta-K", "the beta of the data sheet, such as 3950");
    law.at_ohm = numbers.required("at-ohm", "the resistance at --at-degC, such as 10000");
    law.at_degC = numbers.find("at-degC").value_or(law.at_degC);
    return law;
  }
  constexpr std::string_view all_three = "a Steinhart-Hart law has --a, --b and --c";
  return SteinhartHart{numbers.required("a", all_three), numbers.required("b", all_three),
                       numbers.required("c", all_three)};
}

std::optional<Divider> read_divider(Numbers& numbers, ConvertRequest& asked) {
  asked.full_scale = numbers.positive("full-scale");
  asked.supply_V = numbers.positive("supply-V");
  const bool is_read =
      numbers.given("count") || numbers.given("ratio") || numbers.given("voltage-mV");
  if (!numbers.given("series-ohm")) {
    if (is_read || numbers.given("probe") || numbers.given("full-scale")) {
      numbers.keep(usage_error("option --series-ohm is missing: the resistor beside the probe"));
    }
    return std::nullopt;
  }
  if (numbers.given("ohm")) {
    numbers.keep(
        usage_error("option --ohm is there, and so is --series-ohm: a divider sends --count, "
                    "--ratio or --voltage-mV"));
  }
  Divider divider;
  divider.series_ohm = numbers.positive("series-ohm").value_or(divider.series_ohm);
  const std::string side = numbers.parsed().text("probe").value_or("");
  if (side != "below" && side != "above") {
    numbers.keep(usage_error(fmt::format(
        "option --probe is {}, expected below (probe between output and ground) or above",
        side.empty() ? "missing" : "'" + side + "'")));
  }
  divider.probe_below = side == "below";
  if (numbers.given("count") && !asked.full_scale) {
    numbers.keep(
        usage_error("option --full-scale is missing: the count that stands for the whole "
                    "supply, such as 1023"));
  }
  if (numbers.given("voltage-mV") && !asked.supply_V) {
    numbers.keep(usage_error("option --supply-V is missing: the voltage across divider and probe"));
  }
  return divider;
}

std::optional<SelfHeating> read_heating(Numbers& numbers, const ConvertRequest& asked,
                                        bool has_divider) {
  const auto dissipation = numbers.positive("dissipation-mW-per-K");
  const auto current = numbers.positive("current-mA");
  if (!dissipation) {
    if (current) {
      numbers.keep(
          usage_error("option --dissipation-mW-per-K is missing: what --current-mA warms the "
                      "probe by"));
    }
    return std::nullopt;
  }
  const bool by_supply = has_divider && asked.supply_V.has_value();
  if (by_supply == current.has_value()) {
    numbers.keep(
        usage_error("self-heating needs one of --supply-V (with a divider) and --current-mA"));
  }
  return SelfHeating{*dissipation, by_supply ? *asked.supply_V : 0.0, current.value_or(0.0)};
}

}  // namespace

ThermocoupleSettings read_couple(Numbers& numbers) {
  constexpr std::string_view letters = "BEJKNRST";
  ThermocoupleSettings couple;
  const auto type = numbers.parsed().text("type");
  if (!type) {
    numbers.keep(usage_error("option --type is missing: the thermocouple's letter, such as K"));
  } else if (type->size() != 1 || letters.find(type->front()) == std::string_view::npos) {
    numbers.keep(
        usage_error(fmt::format("option --type: '{}' is not B, E, J, K, N, R, S or T", *type)));
  } else {
    couple.type = static_cast<ThermocoupleType>(letters.find(type->front()));
  }
  couple.cold_degC = numbers.find("cold-degC").value_or(0.0);
  return couple;
}

void read_resistance(Numbers& numbers, const std::string& kind, ConvertRequest& asked) {
  const auto divider = read_divider(numbers, asked);
  const auto heating = read_heating(numbers, asked, divider.has_value());
  if (kind == "thermistor") {
    asked.settings = ThermistorSettings{read_law(numbers), divider, heating};
    return;
  }
  PlatinumSettings platinum;
  platinum.r0_ohm = numbers.positive("r0").value_or(platinum.r0_ohm);
  const double wires = numbers.find("wires").value_or(platinum.wires);
  if (wires != 2.0 && wires != 3.0 && wires != 4.0) {
    numbers.keep(usage_error(fmt::format("option --wires is {}, expected 2, 3 or 4", wires)));
  }
  platinum.wires = wires == 2.0 ? 2 : wires == 3.0 ? 3 : 4;
  platinum.lead_ohm = numbers.find("lead-ohm").value_or(0.0);
  if (platinum.lead_ohm < 0.0) numbers.keep(usage_error("option --lead-ohm is less than 0"));
  if (numbers.given("lead-ohm") && platinum.wires == 4) {
    numbers.keep(
        usage_error("option --lead-ohm needs --wires 2 or 3: four wires measure without leads"));
  }
  platinum.divider = divider;
  platinum.self_heating = heating;
  asked.settings = platinum;
}

}  // namespace nestcup
