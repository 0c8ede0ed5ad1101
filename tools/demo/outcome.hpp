// What the demo's day came to: each simulated mixing beside the run that was found for it.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/record/run_record.hpp"
#include "core/store/store.hpp"

namespace nestcup::demo {

/// One mixing of the simulation.
struct Mixing {
  std::string trial;
  int number = 1;
  double mixing_time_s = 0.0;  ///< on the scenario's axis
  double corrected_rise_K = 0.0;
};

/// The simulator's truth file.
struct Truth {
  double started_wall_us = 0.0;  ///< machine's wall clock at scenario time 0
  double speed = 1.0;
  std::vector<Mixing> mixings;
};

/// @errors no_input, bad_data
[[nodiscard]] Result<Truth> read_truth(const std::string& path);

/// A mixing with its run, where one was found.
struct Outcome {
  Mixing truth;
  std::optional<StoredRun> run;
  Json record;
  double mixing_time_s = 0.0;    ///< the truth on the run's axis
  std::optional<double> hand_K;  ///< what readings by hand and a line would have given

  [[nodiscard]] std::optional<double> off_K() const;  ///< corrected rise less the truth
  [[nodiscard]] std::optional<double> hand_off_K() const;
  /// Whether the corrected rise lies within three standard uncertainties of the truth.
  [[nodiscard]] bool is_right() const;
  /// Whether the run was given to the trial that was simulated.
  [[nodiscard]] bool in_its_trial() const;
};

/// Runs matched with mixings by time; runs that belong to none are counted.
struct Day {
  std::vector<Outcome> outcomes;
  int false_runs = 0;

  [[nodiscard]] bool all_right() const;
  /// Whether every mixing has its run, and every run its trial.
  [[nodiscard]] bool all_in_their_trials() const;
};

/// @errors as Store's
[[nodiscard]] Result<Day> match_runs(const Store& store, const Truth& truth);

/// The table that the demo prints.
[[nodiscard]] std::string day_table(const Day& day, bool colour);

/// Median distance from the truth of records and of the hand line, in a sentence.
[[nodiscard]] std::string day_summary(const Day& day);

}  // namespace nestcup::demo
