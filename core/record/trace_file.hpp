// The trace file: readings as they came, as CSV (RFC 4180). Header `time_s` and one column a probe
// named `<probe>_degC`; an empty cell is no reading; `#` lines before the header are comments.
// Where a probe sends something else than the temperature that is used (a resistance, a voltage, a
// temperature before its calibration), a column `<probe>_raw_<unit>` holds that, too.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "core/base/reading.hpp"
#include "core/base/result.hpp"
#include "core/record/trace_text.hpp"

namespace nestcup {

/// A whole trace. Reading::probe is the index in `roles`; times are the trace's own (us), so that
/// digits beyond the microsecond are lost.
struct Trace {
  std::string name;                   ///< file name without folders, "-" for standard input
  std::vector<ProbeRole> roles;       ///< one a column of temperatures
  RawUnits raw_units;                 ///< one a role
  std::vector<Reading> readings;      ///< by time, then column
  std::vector<std::string> comments;  ///< without '#'
};

/// @param text  the whole file
/// @param name  for messages and Trace::name
/// @errors bad_data: file, line and what was expected (missing or unknown header, no cup column,
///         wrong number of cells, bad number, time that does not rise, no readings)
[[nodiscard]] Result<Trace> parse_trace(std::string_view text, const std::string& name);

/// Reads `path`, or standard input for "-".
/// @errors no_input: no such file; io: reading failed; bad_data as above
[[nodiscard]] Result<Trace> read_trace(const std::string& path);

}  // namespace nestcup
