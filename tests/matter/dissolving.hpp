// Solutions for the tests, from texts.
#pragma once

#include <string_view>
#include <utility>
#include <vector>

#include "core/matter/solution.hpp"

namespace nestcup {

using AmountList = std::vector<std::pair<std::string_view, double>>;

/// Fails the test where a species is none.
[[nodiscard]] std::vector<SpeciesAmount> amounts_of(const AmountList& list);

/// A litre; fails the test where there is none.
[[nodiscard]] Solution litre_of(const AmountList& mol_per_L, double made_degC = volumetric_degC,
                                const LiquidConvention& convention = {});

}  // namespace nestcup
