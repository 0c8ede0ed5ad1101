// A class on one afternoon: every bench measures two neutralisations and its calorimeter constant;
// some benches have a mishap. All figures are invented.
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <string>
#include <vector>

#include "core/classroom/class_bench.hpp"

namespace nestcup::classroom {

enum class Mishap {
  none,
  dilute_bottle,  ///< "dilute acid" (0.50 mol/L) where "acid" (1.00 mol/L) belongs
  strong_bottle,  ///< "strong acid" (2.00 mol/L) there
  weak_acid,      ///< the acid was made up to 0.85 mol/L
  probe_scale,    ///< the cup's probe shows every rise 7 % too large
  lid_off,
};

/// One run as it really was.
struct DayRun {
  std::string trial;
  double start_degC = 0.0;
  double added_degC = 0.0;
  double rise_K = 0.0;  ///< corrected
  double leak_per_s = 0.0;
};

struct DayBench {
  std::string name;
  Mishap mishap = Mishap::none;
  double constant_J_per_K = 0.0;
  std::vector<DayRun> runs;
};

/// The sheet of all, with its uncertainties.
[[nodiscard]] std::shared_ptr<const Sheet> class_sheet();

inline constexpr double neutralisation_kJ_per_mol = -57.5, ammonia_kJ_per_mol = -53.0;

/// Draws amounts, strengths, cups and cylinders of a class within what the sheet states, and works
/// out by the heat balance which rises these give.
/// @param mishaps  by number of the bench, from 0
[[nodiscard]] std::vector<DayBench> drawn_class(std::uint64_t seed, std::size_t benches,
                                                const std::map<std::size_t, Mishap>& mishaps,
                                                int repeats = 2);

/// What a bench hands in, without a simulated bench: the true figures with the noise that records
/// of such runs have. A lid that is off makes the leak 2.2 times as large, the rest temperature 3 K
/// lower, and the corrected rise 0.3 % too small.
[[nodiscard]] ClassBench read_cheaply(const DayBench& bench, std::uint64_t seed);

}  // namespace nestcup::classroom
