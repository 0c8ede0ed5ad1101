// Steps of the working as a reader sees them: numbers with sensible digits, formulas with symbols,
// and formulas with the numbers put in.
#pragma once

#include <string>

#include "core/report/words/texts.hpp"
#include "core/working/working.hpp"

namespace nestcup {

/// A step's number, without its unit: one digit more than its uncertainty bears (three
/// significant ones of u), so that rounding does not add up, and at least one decimal; without u as
/// it was given, or six significant digits.
[[nodiscard]] std::string step_number(const Step& step, const Texts& texts);

/// What the step is, in words.
[[nodiscard]] std::string step_title(const Step& step, const Texts& texts);

/// "q = C_{2} (T_{1} - T_{2}) + ...": the symbol, and how it follows from others; the symbol alone
/// where the number is given.
[[nodiscard]] std::string step_formula(const Working& working, StepId step);

/// The formula's right side with the numbers put in; where the number is given, where it comes
/// from.
[[nodiscard]] std::string step_numbers(const Working& working, StepId step, const Texts& texts);

/// "sheet, cylinder": where a given number comes from.
[[nodiscard]] std::string origin_text(const Step& step, const Texts& texts);

}  // namespace nestcup
