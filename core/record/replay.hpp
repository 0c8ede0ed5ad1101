// Replay: a trace through the same path as the daemon's readings.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "core/record/run_record.hpp"
#include "core/record/trace_file.hpp"
#include "core/sheet/sheet.hpp"

namespace nestcup {

struct ReplayOptions {
  std::optional<double> mark_s;  ///< when the pour began, on the trace's axis
  double after_period_s = 180.0;
  bool heater = false;
  std::optional<Sheet> sheet;        ///< absent: the one that an export carries
  std::optional<std::string> trial;  ///< name of a trial of `sheet`; absent: that of an export
};

/// A mixing that replay found.
struct ReplayedRun {
  FinishedRun run;
  MadeRecord made;
};

/// One run for each mixing, in order; empty where none shows. What an export's comments say
/// (source, probes, start, mark, after period, sheet, trial) stands where the options leave it
/// open.
/// @param next_id  gives each run's id
[[nodiscard]] std::vector<ReplayedRun> replay_trace(const Trace& trace,
                                                    const ReplayOptions& options,
                                                    const std::function<std::string()>& next_id);

/// Of a trace in which nothing was found: why what set in last was taken for no mixing; empty where
/// nothing set in.
[[nodiscard]] std::string last_withdrawal(const Trace& trace, const ReplayOptions& options);

}  // namespace nestcup
