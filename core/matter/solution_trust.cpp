// How far the properties of a solution can be relied on: uncertainties and flags (LIQUIDS.md).
#include <algorithm>
#include <cmath>

#include "core/matter/solution.hpp"
#include "core/matter/water.hpp"

namespace nestcup {
namespace {

template <std::size_t Count>
double outside_K(const SoluteFit<Count>& fit, double degC) {
  return std::max({0.0, fit.lowest_degC - degC, degC - fit.highest_degC});
}

template <std::size_t Count>
double too_strong_w(const SoluteFit<Count>& fit, const SoluteShare& share) {
  return std::max(0.0, std::abs(share.w) - fit.most_w);
}

/// The solutes' part of the relative uncertainty, their errors taken as fully correlated. It goes
/// to nothing with what is dissolved, reaches half of what is stated at a mass fraction of 0.02,
/// and grows outside of the ranges: doubled by 10 K, or by 0.05 in mass fraction.
template <std::size_t Count>
double solutes_u(const std::vector<SoluteShare>& shares, double degC,
                 const SoluteFit<Count> LaliberteSolute::*property) {
  constexpr double half_w = 0.02, doubling_K = 10.0, doubling_w = 0.05;
  double all_w = half_w, stated = 0.0, guessed = 0.0;
  for (const SoluteShare& share : shares) {
    const SoluteFit<Count>& fit = share.solute->*property;
    const double w = std::abs(share.w);
    all_w += w;
    stated += w * fit.relative_u *
              (1.0 + outside_K(fit, degC) / doubling_K + too_strong_w(fit, share) / doubling_w);
    guessed += w * fit.u_per_w;
  }
  return stated / all_w + guessed;
}

template <std::size_t Count>
void judge(const std::vector<SoluteShare>& shares, double degC,
           const SoluteFit<Count> LaliberteSolute::*property, LiquidFlags& flags) {
  if (!(degC >= 0.0 && degC <= 100.0)) flags.outside_temperature = true;
  for (const SoluteShare& share : shares) {
    const SoluteFit<Count>& fit = share.solute->*property;
    if (outside_K(fit, degC) > 0.0) flags.outside_temperature = true;
    if (too_strong_w(fit, share) > 0.0) flags.outside_strength = true;
    if (fit.u_per_w > 0.0) flags.is_estimate = true;
  }
}

}  // namespace

double Solution::density_relative_u(double degC) const {
  if (convention_.density_g_per_mL) return 0.0;
  return std::hypot(water_density_relative_u, solutes_u(shares_, degC, &LaliberteSolute::density));
}

double Solution::heat_capacity_relative_u(double degC) const {
  if (convention_.heat_capacity_J_per_g_K) return 0.0;
  return std::hypot(water_heat_capacity_relative_u,
                    solutes_u(shares_, degC, &LaliberteSolute::heat_capacity));
}

LiquidFlags Solution::flags(double degC) const {
  LiquidFlags flags;
  if (!convention_.density_g_per_mL) judge(shares_, degC, &LaliberteSolute::density, flags);
  if (!convention_.heat_capacity_J_per_g_K) {
    judge(shares_, degC, &LaliberteSolute::heat_capacity, flags);
    for (const SoluteShare& share : shares_) {
      if (share.solute->heat_capacity_is_estimate) flags.is_estimate = true;
    }
  }
  if (has_sums_ && !(convention_.density_g_per_mL && convention_.heat_capacity_J_per_g_K)) {
    flags.is_estimate = true;
  }
  return flags;
}

}  // namespace nestcup
