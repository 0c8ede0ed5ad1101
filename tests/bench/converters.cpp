#include "tests/bench/converters.hpp"

#include <cmath>

namespace nestcup::bench {
namespace {

double rounded(double value, double step) {
  return std::round(value / step) * step;
}

/// The divider's voltage as a count of `full`, and back; the beta equation of a thermistor of the
/// same resistance at 25 degC as the resistor beside it.
double divided_degC(double degC, double full) {
  constexpr double beta_K = 3950.0, zero_K = 273.15, reference_K = 298.15;
  const double ratio = std::exp(beta_K * (1.0 / (degC + zero_K) - 1.0 / reference_K));
  const double count = std::round(full * ratio / (ratio + 1.0));
  const double counted = count / (full - count);
  return 1.0 / (std::log(counted) / beta_K + 1.0 / reference_K) - zero_K;
}

}  // namespace

double converted_degC(Converter converter, double degC) {
  constexpr double printed_K = 0.01, ten_bits = 1024.0, twelve_bits = 4096.0;
  switch (converter) {
    case Converter::sixteenths:
      return rounded(rounded(degC, 1.0 / 16.0), printed_K);
    case Converter::fahrenheit:
      return rounded((rounded(1.8 * degC + 32.0, 0.1) - 32.0) / 1.8, printed_K);
    case Converter::divider_10:
      return divided_degC(degC, ten_bits);
    case Converter::divider_10_print:
      return rounded(divided_degC(degC, ten_bits), printed_K);
    case Converter::divider_12_print:
      return rounded(divided_degC(degC, twelve_bits), printed_K);
  }
  return degC;
}

void convert(Converter converter, Curve& curve) {
  for (Point& point : curve) {
    point.temperature_degC = converted_degC(converter, point.temperature_degC);
  }
}

}  // namespace nestcup::bench
