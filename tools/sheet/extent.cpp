#include "tools/sheet/extent.hpp"

#include "core/chemistry/mixture.hpp"
#include "core/matter/solution.hpp"

namespace nestcup {

std::optional<PlannedExtent> planned_extent(const Sheet& sheet, const SheetTrial& trial) {
  if (!trial.equation || !trial.cup || !trial.added) return std::nullopt;
  Inputs inputs;
  const AmountContext plan{sheet, trial.name, "plan", volumetric_degC};
  Mixture reactants = mixture_of(*trial.cup, plan, inputs);
  reactants += mixture_of(*trial.added, plan, inputs);
  const Extent extent = extent_of(*trial.equation, reactants);
  if (!(extent.mol.value() > 0.0)) return std::nullopt;
  return PlannedExtent{extent.limiting, extent.mol.value()};
}

}  // namespace nestcup
