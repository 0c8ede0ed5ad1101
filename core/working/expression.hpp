// Arithmetic as text: what a reader sees in a step of the working is what the program evaluates.
#pragma once

#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "core/chemistry/measured.hpp"

namespace nestcup {

/// What a name in an expression stands for.
using ValueOf = std::function<Measured(std::string_view name)>;

/// Evaluates "C2 * (T1 - T2) + C3 * dT": names, decimal numbers, + - * / with their usual ranks,
/// parentheses, a minus sign in front, and min(a, b, ...), the first of the smallest.
///
/// The expressions are the program's own: one that cannot be read is a mistake in the program,
/// std::invalid_argument with the place.
[[nodiscard]] Measured evaluated(std::string_view expression, const ValueOf& value_of);

/// A piece of an expression, for whoever sets it in type.
struct ExpressionPiece {
  enum class Kind { name, number, operation };
  Kind kind = Kind::name;
  std::string_view text;  ///< into the expression; an operation is one of + - * / ( ) , and "min"
  bool in_front = false;  ///< a minus sign of what follows, not a subtraction
};

/// The pieces from left to right, blanks left out. Throws as evaluated.
[[nodiscard]] std::vector<ExpressionPiece> pieces_of(std::string_view expression);

}  // namespace nestcup
