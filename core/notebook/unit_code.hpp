// Units as other programs know them.
#pragma once

#include <string_view>

namespace nestcup {

/// The code of a unit in UCUM (The Unified Code for Units of Measure, version 2.1, case-sensitive):
/// "Cel" for "degC", "/s" for "1/s", "1" for a ratio. Empty where there is none ("count").
[[nodiscard]] std::string_view ucum_code(std::string_view unit_text);

}  // namespace nestcup
