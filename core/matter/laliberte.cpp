#include "core/matter/laliberte.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "core/matter/laliberte_csv.hpp"

namespace nestcup {

const std::vector<LaliberteSolute>& laliberte_solutes() {
  static const std::vector<LaliberteSolute> solutes = [] {
    auto read = read_laliberte_table(laliberte_csv());
    assert(read.ok());  // the tests read the same text
    return read.ok() ? std::move(read).value() : std::vector<LaliberteSolute>();
  }();
  return solutes;
}

const LaliberteSolute* find_laliberte_solute(std::string_view formula) {
  const auto& all = laliberte_solutes();
  const auto found = std::find_if(all.begin(), all.end(), [&](const LaliberteSolute& solute) {
    return solute.formula == formula;
  });
  return found == all.end() ? nullptr : &*found;
}

double apparent_volume_mL_per_g(const LaliberteSolute& solute, double all_solutes_w, double degC) {
  const SoluteFit<5>& fit = solute.density;
  const auto& c = fit.coefficients;
  const double t = std::clamp(degC, fit.lowest_degC, fit.highest_degC);
  const double volume = all_solutes_w + c[2] + c[3] * t;
  const double mass = (c[0] * all_solutes_w + c[1]) * std::exp(1e-6 * (t + c[4]) * (t + c[4]));
  return 1e3 * volume / mass;
}

double apparent_heat_capacity_J_per_g_K(const LaliberteSolute& solute, double all_solutes_w,
                                        double degC) {
  const SoluteFit<6>& fit = solute.heat_capacity;
  const auto& a = fit.coefficients;
  const double t = std::clamp(degC, fit.lowest_degC, fit.highest_degC);
  const double alpha = a[1] * t + a[2] * std::exp(0.01 * t) + a[3] * all_solutes_w;
  return a[0] * std::exp(alpha) + a[4] * std::pow(all_solutes_w, a[5]);
}

namespace {

double all_solutes_w(std::span<const SoluteShare> shares) {
  double sum = 0.0;
  for (const SoluteShare& share : shares) sum += share.w;
  return sum;
}

}  // namespace

double laliberte_density_g_per_mL(std::span<const SoluteShare> shares, double degC,
                                  double water_g_per_mL) {
  const double all_w = all_solutes_w(shares);
  double volume_mL_per_g = (1.0 - all_w) / water_g_per_mL;
  for (const SoluteShare& share : shares) {
    volume_mL_per_g += share.w * apparent_volume_mL_per_g(*share.solute, all_w, degC);
  }
  return 1.0 / volume_mL_per_g;
}

double laliberte_heat_capacity_J_per_g_K(std::span<const SoluteShare> shares, double degC,
                                         double water_J_per_g_K) {
  const double all_w = all_solutes_w(shares);
  double sum = (1.0 - all_w) * water_J_per_g_K;
  // At nothing dissolved the apparent heat capacity may be infinite; its part is nothing.
  if (!(all_w > 0.0)) return sum;
  for (const SoluteShare& share : shares) {
    sum += share.w * apparent_heat_capacity_J_per_g_K(*share.solute, all_w, degC);
  }
  return sum;
}

}  // namespace nestcup
