// One afternoon in a simulated laboratory: everything that can be off is drawn, each trial runs on
// the simulated bench, its trace is analysed, and the sheet is worked out.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "core/chemistry/results.hpp"

namespace nestcup::bench {

/// A result beside what it should have been.
struct Outcome {
  double truth = 0.0;
  Uncertain stated;  ///< with what trials share taken into account
  /// Standard uncertainty as if every run stood alone: repeats averaged and members of the cycle
  /// added as independent values.
  double u_alone = 0.0;
};

struct Afternoon {
  Outcome constant_J_per_K;
  Outcome oxide_kJ_per_mol;  ///< at 25 degC
  Outcome metal_kJ_per_mol;  ///< at 25 degC
  Outcome cycle_kJ_per_mol;
};

/// The formation of magnesium oxide by way of oxide and metal in acid, three runs of each and of
/// warm water into cold. Nothing where a run was not found or cannot be used.
[[nodiscard]] std::optional<Afternoon> drawn_afternoon(std::uint64_t seed);

}  // namespace nestcup::bench
