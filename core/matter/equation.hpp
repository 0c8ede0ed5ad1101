// A reaction as its equation, and whether elements and charge balance.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "core/base/result.hpp"
#include "core/matter/formula.hpp"
#include "core/matter/rational.hpp"

namespace nestcup {

struct Term {
  Rational coefficient = 1;  ///< > 0
  Formula species;
};

struct Equation {
  std::string text;  ///< canonical: "H2(g) + 1/2 O2(g) -> H2O(l)"
  std::vector<Term> left;
  std::vector<Term> right;
};

/// Reads "MgO(s) + 2 H+(aq) -> Mg+2(aq) + H2O(l)". The arrow is "->", "=" or U+2192; a coefficient
/// is a whole number, a decimal or a fraction, 1 where there is none. A plus between species has a
/// blank before it, or the phase of the species; a plus right behind an element is a charge.
/// Whether it balances is not looked at.
/// @errors bad_data (which part cannot be read, and why)
[[nodiscard]] Result<Equation> parse_equation(std::string_view text);

/// How much of the species the reaction makes, as written: products positive, reactants negative.
[[nodiscard]] Rational net_coefficient(const Equation& equation, const Formula& species);

/// One element, or the charge, of which the sides hold different amounts.
struct Imbalance {
  std::string what;  ///< "O", or "charge"
  Rational left;
  Rational right;
};

/// Elements in the order of their symbols, the charge last; empty where all balances.
[[nodiscard]] std::vector<Imbalance> imbalances(const Equation& equation);

/// @errors bad_data ("not balanced: O 1 on the left, 2 on the right; charge +2 on the left, 0 on
/// the right")
[[nodiscard]] Result<void> check_balance(const Equation& equation);

/// parse_equation and check_balance in one.
[[nodiscard]] Result<Equation> balanced_equation(std::string_view text);

}  // namespace nestcup
