// Exact fractions: coefficients of equations and multipliers of cycles.
#pragma once

#include <boost/multiprecision/cpp_int.hpp>
#include <optional>
#include <string>
#include <string_view>

namespace nestcup {

/// A fraction of whole numbers of any size, always in lowest terms.
using Rational = boost::multiprecision::cpp_rational;

/// "2", "-1", "1/2".
[[nodiscard]] std::string rational_text(const Rational& number);

/// The number that `text` is as a whole: "2", "-1", "1/2", "0.25".
/// @return nothing for anything else, for a denominator of 0 and for more than 12 digits in a row
[[nodiscard]] std::optional<Rational> parse_rational(std::string_view text);

/// The nearest double.
[[nodiscard]] double to_double(const Rational& number);

}  // namespace nestcup
