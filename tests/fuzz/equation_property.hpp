// What must hold for the reader of formulas and equations whatever it is given; for fuzzing and the
// plain tests.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace nestcup::fuzzing {

/// Reads the text as an equation, as a formula and as a substance. Holds for each: it is refused as
/// bad data with a reason, or its canonical text reads back as the same; a formula has a molar mass
/// above 0 and the same atoms, charge and mass when it is divided into ions; an equation is
/// balanced exactly when its ions are, and an accepted enthalpy of it is a finite number.
/// @return what does not hold; nothing where all does
[[nodiscard]] std::optional<std::string> broken_equation_property(std::string_view text);

}  // namespace nestcup::fuzzing
