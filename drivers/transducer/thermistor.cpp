#include "drivers/transducer/thermistor.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace nestcup::drivers {

namespace {

constexpr double zero_degC_K = 273.15;

/// Thermistors are made from some ohm to some Mohm at 25 degC; a law far from that has a slip in a
/// power of ten.
constexpr double lowest_at_25_ohm = 1.0;
constexpr double highest_at_25_ohm = 1e8;
constexpr double lowest_beta_K = 1500.0;
constexpr double highest_beta_K = 8'000.0;
/// Steps of the check, K: fine enough for a curve with a single bend.
constexpr double check_step_K = 5.0;

Error no_law(std::string text) {
  return {Fault::bad_configuration, std::move(text)};
}

constexpr const char* compare_with_sheet =
    "compare coefficients and their powers of ten with the data sheet (a about 1e-3, b 2e-4, c "
    "1e-7)";

Result<SteinhartHart> checked(const SteinhartHart& law) {
  double before_ohm = HUGE_VAL;
  for (double degC = lowest_thermistor_degC; degC <= highest_thermistor_degC;
       degC += check_step_K) {
    const double ohm = thermistor_ohm(law, degC);
    if (!(ohm > 0.0 && ohm < before_ohm && std::isfinite(ohm))) {
      return no_law(fmt::format(
          "the thermistor's law (a {}, b {}, c {}) has no resistance that falls with temperature "
          "at {} degC, expected one from {} to {} degC; {}",
          law.a, law.b, law.c, degC, lowest_thermistor_degC, highest_thermistor_degC,
          compare_with_sheet));
    }
    before_ohm = ohm;
  }
  const double at_25_ohm = thermistor_ohm(law, 25.0);
  const double x = std::log(at_25_ohm);
  const double beta_K = 1.0 / (law.b + 3.0 * law.c * x * x);
  if (at_25_ohm < lowest_at_25_ohm || at_25_ohm > highest_at_25_ohm || beta_K < lowest_beta_K ||
      beta_K > highest_beta_K) {
    return no_law(
        fmt::format("the thermistor's law (a {}, b {}, c {}) gives {:.3g} ohm at 25 degC and a "
                    "beta of {:.0f} K "
                    "there, expected {} to {} ohm and {} to {} K; {}",
                    law.a, law.b, law.c, at_25_ohm, beta_K, lowest_at_25_ohm, highest_at_25_ohm,
                    lowest_beta_K, highest_beta_K, compare_with_sheet));
  }
  return law;
}

}  // namespace

SteinhartHart steinhart_hart(const BetaLaw& law) {
  const double at_K = law.at_degC + zero_degC_K;
  return {1.0 / at_K - std::log(law.at_ohm) / law.beta_K, 1.0 / law.beta_K, 0.0};
}

Result<SteinhartHart> steinhart_hart(const ThermistorPoints& points) {
  auto pairs = points.pairs;
  std::sort(pairs.begin(), pairs.end(), [](const auto& p, const auto& q) { return p.ohm < q.ohm; });
  std::array<double, 3> x{};  // ln R
  std::array<double, 3> y{};  // 1/T
  for (std::size_t i = 0; i < 3; ++i) {
    if (!(pairs[i].ohm > 0.0 && pairs[i].degC > -zero_degC_K)) {
      return no_law(
          "the thermistor's points are [ohm, degC] with a positive resistance and a "
          "temperature above absolute zero");
    }
    if (i > 0 && !(pairs[i].ohm > pairs[i - 1].ohm && pairs[i].degC < pairs[i - 1].degC)) {
      return no_law(fmt::format(
          "the thermistor's points [{}, {}] and [{}, {}] are not those of a resistance that falls "
          "with temperature; each is [ohm, degC], the three must differ",
          pairs[i - 1].ohm, pairs[i - 1].degC, pairs[i].ohm, pairs[i].degC));
    }
    x[i] = std::log(pairs[i].ohm);
    y[i] = 1.0 / (pairs[i].degC + zero_degC_K);
  }
  // Divided differences of y over x and over x^3; the sum of the x cannot be divided by where the
  // three resistances multiply to 1 ohm, which no probe for this job does.
  const double first = (y[1] - y[0]) / (x[1] - x[0]);
  const double second = (y[2] - y[0]) / (x[2] - x[0]);
  const double c = (second - first) / ((x[2] - x[1]) * (x[0] + x[1] + x[2]));
  const double b = first - c * (x[0] * x[0] + x[0] * x[1] + x[1] * x[1]);
  return SteinhartHart{y[0] - x[0] * (b + c * x[0] * x[0]), b, c};
}

Result<SteinhartHart> steinhart_hart(
    const std::variant<SteinhartHart, BetaLaw, ThermistorPoints>& law) {
  if (const auto* const beta = std::get_if<BetaLaw>(&law)) return checked(steinhart_hart(*beta));
  if (const auto* const points = std::get_if<ThermistorPoints>(&law)) {
    const auto through = steinhart_hart(*points);
    return through ? checked(*through) : through;
  }
  return checked(std::get<SteinhartHart>(law));
}

double thermistor_degC(const SteinhartHart& law, double ohm) {
  const double x = std::log(ohm);
  return 1.0 / (law.a + x * (law.b + law.c * x * x)) - zero_degC_K;
}

double thermistor_ohm(const SteinhartHart& law, double degC) {
  // c x^3 + b x = d for x = ln R, by the hyperbolic solution where c > 0 (one real root) and by
  // the trigonometric one for the middle root where c < 0. Both keep their digits as c goes to 0.
  const double d = 1.0 / (degC + zero_degC_K) - law.a;
  if (law.c == 0.0) return std::exp(d / law.b);
  const double ratio = law.b / std::fabs(law.c) / 3.0;
  if (!(ratio > 0.0)) return std::nan("");
  const double half = std::sqrt(ratio);
  const double z = d / (2.0 * std::fabs(law.c) * ratio * half);
  const double x = law.c > 0.0 ? 2.0 * half * std::sinh(std::asinh(z) / 3.0)
                               : 2.0 * half * std::sin(std::asin(z) / 3.0);
  return std::exp(x);
}

}  // namespace nestcup::drivers
