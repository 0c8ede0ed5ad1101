#include "core/sheet/thermistor_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace nestcup {

namespace {

constexpr NumberRange any_probe_degC{-200.0, 850.0};
/// Thermistors for thermometry have 2000 to 5000 K.
constexpr double lowest_beta_K = 1500.0;
constexpr double highest_beta_K = 8'000.0;

void read_pair(TomlSection& section, const toml::node& entry, ThermistorPoints::Pair& pair) {
  const toml::array* const both = entry.as_array();
  const bool are_numbers =
      both != nullptr && both->size() == 2 &&
      std::all_of(both->begin(), both->end(), [](const toml::node& n) { return n.is_number(); });
  if (!are_numbers) {
    section.problem("points", "holds something else than a pair of numbers, expected [ohm, degC]");
    return;
  }
  pair = {*both->get(0)->value<double>(), *both->get(1)->value<double>()};
  const bool possible = pair.ohm > 0.0 && pair.ohm <= any_resistance_ohm.highest &&
                        pair.degC >= any_probe_degC.lowest && pair.degC <= any_probe_degC.highest;
  if (!possible) {
    section.problem(
        "points", fmt::format("holds [{}, {}], expected [ohm, degC] with a positive "
                              "resistance and {} to {} degC",
                              pair.ohm, pair.degC, any_probe_degC.lowest, any_probe_degC.highest));
  }
}

ThermistorPoints read_points(TomlSection& section) {
  ThermistorPoints points;
  const toml::array* const list = section.array("points");
  if (list == nullptr) return points;
  if (list->size() != points.pairs.size()) {
    section.problem("points",
                    fmt::format("has {} entries, expected three pairs [ohm, degC]", list->size()));
    return points;
  }
  for (std::size_t i = 0; i < points.pairs.size(); ++i) {
    read_pair(section, *list->get(i), points.pairs[i]);
  }
  auto sorted = points.pairs;
  std::sort(sorted.begin(), sorted.end(), [](auto& p, auto& q) { return p.ohm < q.ohm; });
  for (std::size_t i = 1; i < sorted.size(); ++i) {
    if (sorted[i].ohm <= 0.0 || sorted[i - 1].ohm <= 0.0) continue;  // noted already
    if (sorted[i].ohm > sorted[i - 1].ohm && sorted[i].degC < sorted[i - 1].degC) continue;
    section.problem(
        "points",
        fmt::format("[{}, {}] and [{}, {}] do not fall, expected a resistance that "
                    "falls with temperature, three different points as [ohm, degC]",
                    sorted[i - 1].ohm, sorted[i - 1].degC, sorted[i].ohm, sorted[i].degC));
    break;
  }
  return points;
}

/// A slip in a power of ten shows in the resistance at 25 degC, or in how fast it falls there.
void check_coefficients(TomlSection& section, const SteinhartHart& law) {
  constexpr double per_25_degC_K = 1.0 / 298.15;
  double low = 0.0;                 // ln of 1 ohm
  double high = std::log(100.0e6);  // ln of 100 Mohm
  const auto is_cold = [&](double x) {
    return law.a + x * (law.b + law.c * x * x) > per_25_degC_K;
  };
  const bool is_between = !is_cold(low) && is_cold(high);
  while (high - low > 1e-9) {
    const double middle = 0.5 * (low + high);
    (is_cold(middle) ? high : low) = middle;
  }
  const double beta_K = 1.0 / (law.b + 3.0 * law.c * low * low);
  if (is_between && beta_K > lowest_beta_K && beta_K < highest_beta_K) return;
  section.problem(fmt::format(
      "a = {}, b = {}, c = {} are those of no thermistor, expected 1 ohm to 100 Mohm at 25 degC "
      "and "
      "a beta of {} to {} K there; compare the powers of ten with the data sheet (a about 1e-3, b "
      "2e-4, c 1e-7)",
      law.a, law.b, law.c, lowest_beta_K, highest_beta_K));
}

}  // namespace

bool has_any(const TomlSection& section, std::initializer_list<std::string_view> keys) {
  return std::any_of(keys.begin(), keys.end(),
                     [&](std::string_view key) { return section.has(key); });
}

void make_known(TomlSection& section, std::initializer_list<std::string_view> keys) {
  for (const std::string_view key : keys) {
    if (!section.has(key)) (void)section.text(key);
  }
}

ThermistorLaw read_thermistor_law(TomlSection& section) {
  ThermistorLaw read;
  make_known(section, {"a", "b", "c", "beta_K", "at_ohm", "at_degC", "points"});
  const bool has_coefficients = has_any(section, {"a", "b", "c"});
  const bool has_beta = has_any(section, {"beta_K", "at_ohm", "at_degC"});
  const bool has_points = section.has("points");
  if (static_cast<int>(has_coefficients) + static_cast<int>(has_beta) +
          static_cast<int>(has_points) !=
      1) {
    section.problem(fmt::format(
        "{} what law it follows, expected one of: a, b and c (Steinhart-Hart), or beta_K and "
        "at_ohm, or points = [[ohm, degC], ...], three of them",
        has_coefficients || has_beta || has_points ? "says in more than one way" : "does not say"));
  }
  if (has_coefficients) {
    SteinhartHart law;
    law.a = section.required_number("a", {-0.1, 0.1});
    law.b = section.required_number("b", {0.0, 0.1, true});
    law.c = section.required_number("c", {-1e-4, 1e-4});
    if (section.has("a") && law.b > 0.0 && section.has("c")) check_coefficients(section, law);
    read = law;
  }
  if (has_beta) {
    BetaLaw law;
    law.beta_K = section.required_number("beta_K", {lowest_beta_K, highest_beta_K});
    law.at_ohm = section.required_number("at_ohm", any_resistance_ohm);
    law.at_degC = section.number("at_degC", any_probe_degC).value_or(law.at_degC);
    read = law;
  }
  if (has_points) read = read_points(section);
  return read;
}

}  // namespace nestcup
