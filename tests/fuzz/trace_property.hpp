// What must hold for the trace reader and replay whatever a file holds; for fuzzing and the plain
// tests.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace nestcup::fuzzing {

/// Reads the text as a trace. Holds: it is refused with file and line, or it reads back from its
/// own text as the same readings; replayed (up to 2000 readings), each run has a finite rise with
/// an uncertainty of at least 0, and its record holds no number that JSON cannot hold.
/// @return what does not hold; nothing where all does
[[nodiscard]] std::optional<std::string> broken_trace_property(std::string_view text);

}  // namespace nestcup::fuzzing
