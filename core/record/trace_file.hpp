// The trace file: readings as they came, as CSV (RFC 4180). Header `time_s` and one column a probe
// named `<probe>_degC`; an empty cell is no reading; `#` lines before the header are comments.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/reading.hpp"
#include "core/base/result.hpp"

namespace nestcup {

/// A whole trace. Reading::probe is the index in `roles`; times are the trace's own (us), so that
/// digits beyond the microsecond are lost.
struct Trace {
  std::string name;                   ///< file name without folders, "-" for standard input
  std::vector<ProbeRole> roles;       ///< one a column
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

/// Header and rows (no comments) of readings, times shifted by -origin_us; reads back as the same
/// numbers. One row for readings of one instant.
[[nodiscard]] std::string trace_text(std::span<const Reading> readings,
                                     const std::vector<ProbeRole>& roles, TimeUs origin_us);

}  // namespace nestcup
