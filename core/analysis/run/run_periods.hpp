// How a run divides into periods, step by step towards its result.
#pragma once

#include <optional>

#include "core/analysis/course/course_fit.hpp"
#include "core/analysis/readings/knocks.hpp"
#include "core/analysis/rise/heat_leak.hpp"
#include "core/analysis/run/run_analysis.hpp"

namespace nestcup {

inline constexpr std::size_t least_fore_readings = 3;
inline constexpr std::size_t least_after_readings = 3;
/// An after period has to last so long, and to hold so many readings, to tell the leak.
inline constexpr double least_after_for_leak_s = 60.0;
inline constexpr std::size_t least_after_readings_for_leak = 6;

/// A run and its division. The views look into `readings`.
struct RunPeriods {
  explicit RunPeriods(const RunInput& run);
  RunPeriods(const RunPeriods&) = delete;
  RunPeriods& operator=(const RunPeriods&) = delete;

  const RunInput& input;
  Noise noise;
  double interval_s = 0.0;
  KnockFree cup;
  RoomKnowledge room;
  double hint_s = 0.0;        ///< first reading that clearly left the foreperiod
  double fore_start_s = 0.0;  ///< from here on the foreperiod is steady
  double unsteady_K = 0.0;    ///< how far the beginning left out lay off the steady part's line
  double mixing_s = 0.0, u_mixing_s = 0.0;
  double main_end_s = 0.0;
  bool settled = true;     ///< the curve came to a slow drift
  bool mark_used = false;  ///< the operator's mark agrees with the trace
  CurveView fore, main, after;

  [[nodiscard]] CurveView curve() const { return cup.curve; }
  /// From the steady foreperiod to the end.
  [[nodiscard]] CurveView steady() const;
  /// Cuts fore, main and after at the mixing (less its uncertainty) and at the end of the main
  /// period.
  void cut();
  /// Whether the after period is long enough to tell the leak.
  [[nodiscard]] bool leak_known() const;
};

/// The first division, by where the curve settles: no model of the main period is needed.
void divide_by_drift(RunPeriods& periods);

/// The division as a fitted course tells it.
void divide_by_course(RunPeriods& periods, const CourseFit& fit);

}  // namespace nestcup
