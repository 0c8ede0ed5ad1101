// From the readings of one run to its result: periods, heat leak, corrected rise, findings.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/analysis/course/course_fit.hpp"
#include "core/analysis/readings/late_readings.hpp"
#include "core/analysis/readings/point.hpp"
#include "core/analysis/rise/corrected_rise.hpp"
#include "core/analysis/rise/heat_leak.hpp"
#include "core/analysis/run/findings.hpp"
#include "core/analysis/run/found_by.hpp"
#include "core/base/calibration.hpp"
#include "core/base/uncertain.hpp"

namespace nestcup {

/// Counted up whenever the same readings may give another result.
inline constexpr int analysis_version = 20;

struct Period {
  double start_s = 0.0;
  double end_s = 0.0;
};

/// How long before the run its probes were calibrated, days.
struct CalibrationAge {
  double age_days = 0.0;
  double valid_days = 0.0;  ///< so long it counts
};

/// Readings of one run on the run's own axis, and what is known beside them.
struct RunInput {
  Curve cup;                          ///< degC, from the foreperiod to the end of the run
  Curve added;                        ///< second vessel; may be empty
  Curve room;                         ///< may be empty
  double onset_hint_s = 0.0;          ///< first reading that clearly left the foreperiod
  std::optional<double> mark_s;       ///< when the pour began, where the operator knew
  FoundBy marked_by = FoundBy::mark;  ///< how the operator said so
  double after_period_s = 180.0;      ///< wanted length of the after period
  bool cut_by_next = false;           ///< another mixing ended the run
  bool heater = false;                ///< the trial heats the cup electrically
  std::optional<double> tolerance_K;  ///< of the cup's probe as bought
  /// Of the cup's probe, whose readings are corrected by it; it replaces the tolerance.
  std::optional<Calibration> calibration;
  std::optional<CalibrationAge> calibration_age;  ///< the oldest of cup and second vessel
  bool one_probe = false;  ///< `added` was read by the cup's probe, carried there
  /// Where the probe was on its way during the pour: between when it was poured.
  std::optional<Period> pour_within;
  std::optional<Period> away;  ///< the probe was not in the cup
  LateReadings late;           ///< of the cup's probe; `cup` has them in their time
  std::size_t one_in = 1;      ///< of so many readings of the cup one counts: they are alike
  double uneven_K = 0.0;       ///< standard uncertainty of the place of each of the cup's values
};

/// A cup reading at an even time after mixing, interpolated between its neighbours (a view for
/// tables; the analysis uses the readings themselves).
struct TimedReading {
  int after_mixing_s = 0;
  double cup_degC = 0.0;
};

struct RunAnalysis {
  Period fore, main, after;
  Uncertain mixing_time_s;
  FoundBy found_by = FoundBy::detector;
  Uncertain cup_at_mixing_degC;
  std::optional<Uncertain> added_at_mixing_degC;
  Uncertain final_degC;
  RiseEstimate rise;                    ///< the estimate that is used
  std::vector<RiseEstimate> estimates;  ///< all of them, the used one too
  std::optional<HeatLeak> leak;         ///< nothing where the run is unusable
  /// The most probable course; nothing where the used estimate is not the course's.
  std::optional<CourseFit> course;
  Curve left_out;  ///< knocked readings of the cup that no estimate uses
  double equal_area_s = 0.0;
  std::vector<TimedReading> timed_readings;
  std::vector<Finding> findings;

  [[nodiscard]] bool usable() const;
};

/// Analyses one run. The same readings give the same result, bit for bit, wherever the axis begins.
/// A run that cannot give a rise comes back with a finding of severity `unusable`.
[[nodiscard]] RunAnalysis analyse_run(const RunInput& input);

/// Whether a run has a rise that may be as large as those that are looked for (0.15 K or eight
/// scatters) and stands out from its uncertainty, by four times; by ten where no course describes
/// the readings. True where nothing can be told. Quicker than the analysis on displays that hide
/// their noise.
/// @param probe_moved  it stood elsewhere shortly before: a course must describe the readings well
///                     enough to be used, and where nothing can be told no rise shows
[[nodiscard]] bool rise_shows(const RunInput& input, bool probe_moved = false);

}  // namespace nestcup
