#include "core/matter/water.hpp"

#include <array>
#include <cmath>
#include <complex>

#include "core/base/steam_point.hpp"

namespace nestcup {
namespace {

bool is_liquid(double degC) {
  return degC >= 0.0 && degC <= 100.0;
}

/// Density of saturated vapour, g/mL: IAPWS SR1-86(1992), W. Wagner and A. Pruss, J. Phys. Chem.
/// Ref. Data 22 (1993) 783-787, equation 3.
double vapour_density_g_per_mL(double degC) {
  constexpr double critical_K = 647.096, critical_g_per_mL = 0.322;
  constexpr std::array<double, 6> c{-2.03150240, -2.68302940, -5.38626492,
                                    -17.2991605, -44.7586581, -63.9201063};
  constexpr std::array<double, 6> sixths{2.0, 4.0, 8.0, 18.0, 37.0, 71.0};
  const double distance = 1.0 - (degC + 273.15) / critical_K;
  double sum = 0.0;
  for (std::size_t i = 0; i < c.size(); ++i) sum += c[i] * std::pow(distance, sixths[i] / 6.0);
  return critical_g_per_mL * std::exp(sum);
}

}  // namespace

namespace unchecked {

double water_density_g_per_mL(double degC) {
  const double t = degC;
  const double above =
      999.83952 +
      t * (16.945176 +
           t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 + t * -280.54253e-12))));
  // Often miscopied as 16.897850e-3, which gives 996.73 kg/m3 at 25 degC.
  return 1e-3 * above / (1.0 + 16.879850e-3 * t);
}

double water_heat_capacity_J_per_g_K(double degC) {
  constexpr double gas_J_per_g_K = 0.46151805, unit_K = 10.0;
  const double temperature_K = degC + 273.15;
  const double a = unit_K / (593.0 - temperature_K), b = unit_K / (temperature_K - 232.0);
  // Equation 4 of the release: c3 + tau (sum n (n+1) a_i alpha^(n+2) + sum m (m+1) b_i beta^(m+2)).
  const double a2 = a * a, a3 = a2 * a, a6 = a3 * a3;
  const double above =
      a6 * (4 * 5 * -1.661470539e5 + a * (5 * 6 * 2.708781640e6 + a2 * (7 * 8 * -1.557191544e8)));
  const double b2 = b * b, b4 = b2 * b2;
  const double below =
      b4 * (2 * 3 * -8.237426256e-1 +
            b * (3 * 4 * 1.908956353 + b * (4 * 5 * -2.017597384 + b * (5 * 6 * 8.546361348e-1))));
  return -gas_J_per_g_K * (-8.983025854 + temperature_K / unit_K * (above + below));
}

}  // namespace unchecked

std::optional<double> water_density_g_per_mL(double degC) {
  if (!is_liquid(degC)) return std::nullopt;
  return unchecked::water_density_g_per_mL(degC);
}

std::optional<double> water_heat_capacity_J_per_g_K(double degC) {
  if (!is_liquid(degC)) return std::nullopt;
  return unchecked::water_heat_capacity_J_per_g_K(degC);
}

std::optional<double> water_vapour_pressure_kPa(double degC) {
  const auto line = saturation(degC);
  if (!line || !is_liquid(degC)) return std::nullopt;
  return 1e-3 * line->pressure_Pa;
}

std::optional<double> water_vaporisation_kJ_per_mol(double degC) {
  const auto line = saturation(degC);
  const auto liquid_g_per_mL = water_density_g_per_mL(degC);
  if (!line || !liquid_g_per_mL) return std::nullopt;
  const double expansion_mL_per_g = 1.0 / vapour_density_g_per_mL(degC) - 1.0 / *liquid_g_per_mL;
  // 1 Pa mL is 1e-6 J.
  const double kJ_per_g = 1e-9 * (degC + 273.15) * expansion_mL_per_g * line->slope_Pa_per_K;
  return water_g_per_mol * kJ_per_g;
}

std::optional<double> wet_gas_heat_kJ_per_mol(double degC, double pressure_kPa) {
  const auto vapour_kPa = water_vapour_pressure_kPa(degC);
  const auto heat_kJ_per_mol = water_vaporisation_kJ_per_mol(degC);
  constexpr double most = 0.9;
  if (!vapour_kPa || !heat_kJ_per_mol || !(*vapour_kPa < most * pressure_kPa)) return std::nullopt;
  return *vapour_kPa / (pressure_kPa - *vapour_kPa) * *heat_kJ_per_mol;
}

std::optional<double> ice_heat_capacity_J_per_g_K(double degC) {
  if (!(degC >= -100.0 && degC <= 0.0)) return std::nullopt;
  using Complex = std::complex<double>;
  constexpr double triple_K = 273.16;
  const Complex t1{0.368017112855051e-1, 0.510878114959572e-1};
  const Complex r1{0.447050716285388e-1, 0.656876847463481e-1};  // kJ/(kg K)
  const Complex t2{0.337315741065416, 0.335449415919309};
  const Complex r2{-0.725974574329220e-1, -0.781008427112870e-1};  // at 101.325 kPa
  const double tau = (degC + 273.15) / triple_K;
  // The second derivative of the Gibbs energy (table 4 of the release), times -T.
  const auto part = [&](const Complex& r, const Complex& t) {
    return r * (1.0 / (t - tau) + 1.0 / (t + tau) - 2.0 / t);
  };
  return -tau * (part(r1, t1) + part(r2, t2)).real();
}

}  // namespace nestcup
