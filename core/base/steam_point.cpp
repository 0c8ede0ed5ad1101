#include "core/base/steam_point.hpp"

#include <cmath>

namespace nestcup {

std::optional<double> steam_point_degC(double pressure_Pa) {
  constexpr double lowest_Pa = 611.213, highest_Pa = 22.064e6;
  if (!(pressure_Pa >= lowest_Pa && pressure_Pa <= highest_Pa)) return std::nullopt;
  constexpr double n1 = 0.11670521452767e4, n2 = -0.72421316703206e6, n3 = -0.17073846940092e2,
                   n4 = 0.12020824702470e5, n5 = -0.32325550322333e7, n6 = 0.14915108613530e2,
                   n7 = -0.48232657361591e4, n8 = 0.40511340542057e6, n9 = -0.23855557567849,
                   n10 = 0.65017534844798e3;
  const double beta = std::pow(pressure_Pa * 1e-6, 0.25);
  const double e = beta * beta + n3 * beta + n6;
  const double f = n1 * beta * beta + n4 * beta + n7;
  const double g = n2 * beta * beta + n5 * beta + n8;
  const double d = 2.0 * g / (-f - std::sqrt(f * f - 4.0 * e * g));
  const double sum = n10 + d;
  const double temperature_K = 0.5 * (sum - std::sqrt(sum * sum - 4.0 * (n9 + n10 * d)));
  return temperature_K - 273.15;
}

}  // namespace nestcup
