#include "core/chemistry/heat_balance.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "core/matter/water.hpp"

namespace nestcup {

namespace {

/// Rectangular within a quarter to either side: half in all (JCGM 100:2008, 4.3.7).
const double wet_gas_relative_u = 0.25 / std::sqrt(3.0);

}  // namespace

Measured heat_of_contents_J(const MixedRun& run, const Mixture& after, Inputs& inputs,
                            HeatCapacityFlags& flags) {
  const Measured added_J_per_K = heat_capacity_J_per_K(run.added, run.added_degC, run.cup_degC,
                                                       run.conventions, inputs, flags);
  const Measured after_J_per_K =
      heat_capacity_J_per_K(after, run.cup_degC, run.final_degC, run.conventions, inputs, flags);
  return added_J_per_K * (run.cup_degC - run.added_degC) + after_J_per_K * run.rise_K;
}

Measured heat_of_wet_gas_J(const Measured& gas_mol, const Measured& final_degC, Inputs& inputs) {
  if (gas_mol.value() <= 0.0) return Measured{};
  const Measured kJ_per_mol = propagate(final_degC, [](double degC) {
    return wet_gas_heat_kJ_per_mol(std::clamp(degC, 0.0, 90.0)).value_or(0.0);
  });
  const std::string name = "vapour in the gas that left";
  const InputId input = inputs.shared(name, {name, ErrorSource::heat_capacity, {}});
  return 1000.0 * gas_mol * kJ_per_mol * Measured::of(1.0, input, wet_gas_relative_u);
}

}  // namespace nestcup
