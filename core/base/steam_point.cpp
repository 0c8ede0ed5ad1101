#include "core/base/steam_point.hpp"

#include <cmath>

namespace nestcup {
namespace {

// Table 34 of the source, for pressures in MPa and temperatures in K.
constexpr double n1 = 0.11670521452767e4, n2 = -0.72421316703206e6, n3 = -0.17073846940092e2,
                 n4 = 0.12020824702470e5, n5 = -0.32325550322333e7, n6 = 0.14915108613530e2,
                 n7 = -0.48232657361591e4, n8 = 0.40511340542057e6, n9 = -0.23855557567849,
                 n10 = 0.65017534844798e3;

}  // namespace

std::optional<double> steam_point_degC(double pressure_Pa) {
  constexpr double lowest_Pa = 611.213, highest_Pa = 22.064e6;
  if (!(pressure_Pa >= lowest_Pa && pressure_Pa <= highest_Pa)) return std::nullopt;
  const double beta = std::pow(pressure_Pa * 1e-6, 0.25);
  const double e = beta * beta + n3 * beta + n6;
  const double f = n1 * beta * beta + n4 * beta + n7;
  const double g = n2 * beta * beta + n5 * beta + n8;
  const double d = 2.0 * g / (-f - std::sqrt(f * f - 4.0 * e * g));
  const double sum = n10 + d;
  const double temperature_K = 0.5 * (sum - std::sqrt(sum * sum - 4.0 * (n9 + n10 * d)));
  return temperature_K - 273.15;
}

std::optional<Saturation> saturation(double degC) {
  constexpr double highest_degC = 647.096 - 273.15;
  if (!(degC >= 0.0 && degC <= highest_degC)) return std::nullopt;
  const double temperature_K = degC + 273.15;
  const double away_K = temperature_K - n10;
  const double theta = temperature_K + n9 / away_K;
  const double a = theta * theta + n1 * theta + n2;
  const double b = n3 * theta * theta + n4 * theta + n5;
  const double c = n6 * theta * theta + n7 * theta + n8;
  const double beta = 2.0 * c / (-b + std::sqrt(b * b - 4.0 * a * c));
  // a beta^2 + b beta + c = 0 all along the line, hence d beta / d theta.
  const double by_theta =
      beta * (beta * (2.0 * theta + n1) + 2.0 * n3 * theta + n4) + 2.0 * n6 * theta + n7;
  const double by_beta = 2.0 * a * beta + b;
  const double theta_per_K = 1.0 - n9 / (away_K * away_K);
  const double cube = beta * beta * beta;
  return Saturation{1e6 * cube * beta, -1e6 * 4.0 * cube * by_theta / by_beta * theta_per_K};
}

}  // namespace nestcup
