// Numbers as text: strict reading, shortest exact writing. Never touches the locale.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace nestcup {

/// The number that `text` is as a whole ("21.5", "-3", "+1e-3").
/// @return nothing for an empty text, rubbish before or behind, NaN or infinity
[[nodiscard]] std::optional<double> parse_number(std::string_view text);

/// Shortest decimal text that reads back as exactly this finite number, at least one decimal
/// where the number is whole ("21.0").
[[nodiscard]] std::string number_text(double value);

/// `text` without blanks, tabs and carriage returns at both ends.
[[nodiscard]] std::string_view trimmed(std::string_view text);

}  // namespace nestcup
