// A forecast: what each trial of a sheet should show, how well it will be known, what would help,
// and what to look out for.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "tools/forecast/levers.hpp"
#include "tools/forecast/outlook.hpp"

namespace nestcup::forecast {

/// What an after period of this length would bring, k = 1.
struct AfterPeriod {
  double after_s = 0.0;
  double u_rise_K = 0.0;      ///< of one run's rise
  double u_readings_K = 0.0;  ///< the same without the scale of the probe
  double u_result = 0.0;      ///< of the trial's result, if all trials have that after period
};

/// One trial. Without an expectation all else is empty.
struct TrialForecast {
  double u_rise_K = 0.0;           ///< to expect of one run's rise, scale of the probe included
  double u_readings_K = 0.0;       ///< the same without that scale
  double u_rise_stated_K = 0.0;    ///< what its record will state
  std::optional<Measured> result;  ///< of all planned runs, in the unit of the trial's result
  std::optional<double> u_result_stated;  ///< what `nestcup results` will state
  std::vector<SourceShare> budget;        ///< of the result
  std::string mostly;                     ///< what u of the result mostly comes from, in words
  std::vector<AfterPeriod> after;
  std::optional<double> enough_after_s;  ///< longer ones bring less than worth_share
  std::vector<Gain> gains;
};

struct CycleForecast {
  std::optional<Measured> result;
  std::optional<double> u_stated;
  std::vector<SourceShare> budget;
  std::string mostly;
  std::vector<Gain> gains;
};

struct Forecast {
  Plan plan;
  Rises rises;
  Results results;                    ///< of all planned runs
  std::vector<TrialForecast> trials;  ///< in the sheet's order
  CycleForecast cycle;
  std::vector<Lever> levers;
  ResultNotes notes;  ///< what to look out for
};

/// Tells what is still being rehearsed, where that takes more than some seconds.
using Progress = std::function<void(const std::string& trial)>;

/// @param only  the one trial asked for; those for the constant are worked out beside it
[[nodiscard]] Forecast make_forecast(Plan plan, std::optional<std::size_t> only,
                                     const Progress& progress);

/// The largest source of an uncertainty in words, with its part of the variance: "strength of acid,
/// 83 %".
/// @param lines  the result's budget
[[nodiscard]] std::string mostly_from(const Measured& result, const std::vector<SourceShare>& lines,
                                      const Inputs& inputs);

}  // namespace nestcup::forecast
