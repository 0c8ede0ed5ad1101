// One benchmark trial through the whole path: follower, analysis, truth, bound, and the ways of
// hand for comparison.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/analysis/run/run_analysis.hpp"
#include "core/analysis/run/run_follower.hpp"
#include "tests/bench/trial_grid.hpp"

namespace nestcup::bench {

/// What the follower makes of the curves of a cup and, where there is one, of the second vessel:
/// the input of each run's analysis, and where its axis begins on the curves'.
struct FollowedRun {
  RunInput input;
  double begin_s = 0.0;
};
[[nodiscard]] std::vector<FollowedRun> followed_runs(CurveView cup, CurveView added = {});

struct TrialResult {
  Trial trial;
  Bounds bounds;
  bool found = false;  ///< one run, usable, and no second one
  double rise_K = 0.0, u_K = 0.0;
  std::string method;                   ///< of the estimate that is used
  std::optional<Uncertain> added_degC;  ///< at the mixing
  double mixing_error_s = 0.0;
  std::optional<double> hand_error_K;  ///< straight line from readings every 20 s
  double peak_error_K = 0.0;           ///< highest reading less the last one before the pour
  double analysis_s = 0.0;             ///< time that the analysis took

  [[nodiscard]] double error_K() const { return rise_K - trial.rise_K; }
};

/// All but the bounds.
[[nodiscard]] TrialResult analysed(const Trial& trial, CurveView cup, CurveView added = {});
/// The ways of hand anew, from what the one probe for both vessels read in the cup.
void read_by_hand(CurveView in_cup, TrialResult& result);
/// With the bounds; the trial is as its grid describes it.
[[nodiscard]] TrialResult result_of(const Trial& trial, CurveView cup);

/// Percentage of ratios of error to uncertainty that lie within +-factor.
[[nodiscard]] double within(const std::vector<double>& over_u, double factor);

/// Half the distance between the quantiles 0.159 and 0.841: the standard deviation of what is
/// normal, blind to a few that are not.
[[nodiscard]] double robust_spread(std::vector<double> values);
[[nodiscard]] double root_mean_square(const std::vector<double>& values);
[[nodiscard]] double quantile(std::vector<double> values, double share);

}  // namespace nestcup::bench
