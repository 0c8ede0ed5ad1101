// Symbols, species, equations and units as they are printed.
#pragma once

#include <string>
#include <string_view>

namespace nestcup {

/// "Mg+2(aq)" as Mg with a raised 2+, "H2O(l)" with a lowered 2, coefficients as they are; the
/// arrow of an equation as an arrow. Marks of inline_text.hpp.
/// @param text  a species or an equation in canonical form
[[nodiscard]] std::string chemistry_text(std::string_view text);

/// A Step's symbol: "DeltaH_25" as Delta H with a lowered 25, "n_1(H+(aq))" with its species set.
[[nodiscard]] std::string symbol_text(std::string_view symbol);

/// "degC" with a degree sign, "J/(g K)" with blanks that do not break.
[[nodiscard]] std::string unit_text(std::string_view unit);

}  // namespace nestcup
