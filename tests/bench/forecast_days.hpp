// The days of the simulator lived through again and again: amounts, instruments, probes and tables
// are off by what the sheet states, and runs are analysed and worked out as the programs do it.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "core/chemistry/results.hpp"
#include "sim/scenario.hpp"

namespace nestcup::bench {

/// What the day's truth is, as the comment on top of its scenario tells it.
struct DayTruth {
  const char* scenario;  ///< name in sim/scenarios
  const char* sheet;     ///< from the root of the sources
  struct Run {
    double cup_mL = 0.0;  ///< really in the cup
    double added = 0.0;   ///< really put in, mL or g
  };
  struct Trial {
    double result = 0.0;  ///< in the unit of the trial's result
    std::vector<Run> runs;
  };
  std::vector<Trial> trials;  ///< all of the sheet's; the first gives the constant
  double cycle = 0.0;         ///< 0 for none
};
[[nodiscard]] const std::vector<DayTruth>& day_truths();

/// The probes of all days.
struct DayProbes {
  double tolerance_K = 0.2;
  double least_lag_s = 3.0, most_lag_s = 6.0;
};

/// Errors (found less true) of many days.
struct DayErrors {
  Sheet sheet;
  std::vector<std::vector<double>> rise_K;  ///< by trial: of each run
  std::vector<std::vector<double>> result;  ///< by trial: of each day
  std::vector<double> cycle;
  std::vector<double> mean_rise_K;  ///< by trial: true
  int lost = 0;                     ///< runs that gave no rise
};

/// @param followed  whether runs are looked for as the daemon does it, which takes twenty times as
///                  long; otherwise the analysis is told when the cup left its line
[[nodiscard]] DayErrors lived_days(const DayTruth& day, const DayProbes& probes, int days,
                                   std::uint64_t seed, bool followed);

}  // namespace nestcup::bench
