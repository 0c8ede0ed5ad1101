// Stores of simulated runs, as a bench leaves them: readings, records, revisions and the sheet.
#pragma once

#include <string>

#include "core/analysis/run/run_analysis.hpp"
#include "core/store/store.hpp"

namespace nestcup {

/// What an older analysis got more.
inline constexpr double simulated_earlier_rise_K = 0.0383;

/// The sheet that their records name.
inline constexpr const char* simulated_sheet = R"toml([sheet]
title = "A simulated day"
[[trial]]
name = "warm"
purpose = "calorimeter constant"
cup = { substance = "water", volume_mL = 50.0, u_volume_mL = 0.2 }
added = { substance = "water", volume_mL = 49.5, u_volume_mL = 0.2 }
)toml";

struct SimulatedStore {
  int runs = 4;
  int kinds = 4;  ///< so many are simulated; further runs are these again, an hour apart each
  int analysis = analysis_version;  ///< of the records; an older one gets other figures, too
  std::string login = "demo";       ///< by which the last run was struck out; empty: it was not
  int bench = 0;                    ///< runs of another bench have other ids; below 200
  std::string name = "bench-4";     ///< of the bench, in its records
  int first_seed = 0;               ///< of the simulation; others give other figures
};

/// Makes a new store; throws std::runtime_error where that fails.
void make_simulated_store(const std::string& path, const SimulatedStore& wanted);

}  // namespace nestcup
