// A measured quantity as text, rounded to what its uncertainty bears.
#pragma once

#include <string>
#include <string_view>

#include "core/base/uncertain.hpp"

namespace nestcup {

/// The degree Celsius as people read it, in UTF-8.
inline constexpr const char* unit_degC =
    "\xC2\xB0"
    "C";

/// Value and standard uncertainty with their unit in UTF-8: "6.214 \u00B1 0.056 K".
/// The uncertainty keeps two significant digits and the value the same last place
/// (JCGM 100:2008, 7.2.6); from 100 upwards both are rounded to tens, hundreds and so on.
/// Without an uncertainty (u = 0) the value stands alone in its shortest exact form.
/// @param quantity  value and u, finite, u >= 0
/// @param unit      put behind a blank; empty for a pure number
[[nodiscard]] std::string uncertain_text(const Uncertain& quantity, std::string_view unit);

}  // namespace nestcup
