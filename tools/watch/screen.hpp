// The terminal's screen: what stands where, for windows from narrow to wide.
#pragma once

#include <string>
#include <vector>

#include "tools/watch/view.hpp"

namespace nestcup::watch {

struct ScreenSize {
  int columns = 80;
  int rows = 24;
};

/// The screen's rows from above, exactly as many as it has, none wider than it is. What matters
/// most at the bench stands first: temperatures, what to do, the run; the curve takes what is left.
[[nodiscard]] std::vector<std::string> screen_rows(const BenchView& view, ScreenSize size,
                                                   double span_min, const Words& words,
                                                   bool colour);

}  // namespace nestcup::watch
