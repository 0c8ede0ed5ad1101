// Budgets, cycles and classes to draw; all numbers are invented.
#pragma once

#include <cstddef>

#include "core/report/charts/budget_chart.hpp"
#include "core/report/charts/class_chart.hpp"
#include "core/report/charts/cycle_chart.hpp"

namespace nestcup {

/// The budget of a corrected rise, K.
[[nodiscard]] BudgetChart example_budget(Language language);

/// `count` sources, each half of the one before.
[[nodiscard]] BudgetChart halving_budget(std::size_t count, double largest_u);

/// Magnesium oxide: two reactions measured, the formation of water from a table.
[[nodiscard]] CycleChart example_cycle(Language language);

/// `count` steps of changing size and direction, with long words on the levels.
[[nodiscard]] CycleChart long_cycle(std::size_t count, double kJ_per_mol);

/// `count` benches about -57 kJ/mol; every seventh lies apart.
[[nodiscard]] ClassChart example_class(std::size_t count, Language language);

}  // namespace nestcup
