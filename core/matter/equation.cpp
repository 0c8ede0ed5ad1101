#include "core/matter/equation.hpp"

#include <fmt/format.h>

#include <map>
#include <optional>
#include <utility>

#include "core/base/numbers.hpp"

namespace nestcup {

namespace {

constexpr std::size_t longest_equation = 1000;

Error unreadable_equation(std::string_view text, std::string_view why) {
  return {Fault::bad_data, fmt::format("equation \"{}\": {}", text, why)};
}

/// How long the arrow is that stands at `at`; 0 where none does.
std::size_t arrow_length(std::string_view text, std::size_t at) {
  for (const std::string_view arrow : {"->", "=", "\xE2\x86\x92"}) {
    if (text.substr(at).starts_with(arrow)) return arrow.size();
  }
  return 0;
}

bool is_blank(char c) {
  return c == ' ' || c == '\t';
}

/// One side, divided at each plus that is no charge: one with a blank before it, or behind a phase.
std::vector<std::string_view> terms_of(std::string_view side) {
  std::vector<std::string_view> terms;
  std::size_t begin = 0;
  for (std::size_t i = 0; i < side.size(); ++i) {
    if (side[i] != '+') continue;
    const std::string_view before = side.substr(begin, i - begin);
    const bool behind_phase = before.ends_with("(s)") || before.ends_with("(l)") ||
                              before.ends_with("(g)") || before.ends_with("(aq)") ||
                              before.ends_with("(cr)");
    if (!before.empty() && !is_blank(before.back()) && !behind_phase) continue;
    terms.push_back(before);
    begin = i + 1;
  }
  terms.push_back(side.substr(begin));
  return terms;
}

/// What is wrong with a formula, and a hint where a plus may have been meant to divide.
std::string why_no_species(const Error& error, std::string_view species) {
  const std::size_t plus = species.find('+');
  const bool joined = plus != std::string_view::npos && plus + 1 < species.size() &&
                      species[plus + 1] != '(' && species.substr(plus).size() > 2;
  return error.text + (joined ? " (a plus between two species needs blanks around it)" : "");
}

Result<Term> read_term(std::string_view written) {
  const std::string_view text = trimmed(written);
  if (text.empty())
    return Error{Fault::bad_data, "a species is missing beside a plus or the arrow"};
  std::size_t digits = 0;
  while (digits < text.size() &&
         std::string_view("0123456789./").find(text[digits]) != std::string_view::npos) {
    ++digits;
  }
  Term term;
  if (digits > 0) {
    const auto number = parse_rational(text.substr(0, digits));
    if (!number || *number <= 0) {
      return Error{Fault::bad_data,
                   fmt::format("\"{}\" is no coefficient: 2, 1/2 or 0.5", text.substr(0, digits))};
    }
    term.coefficient = *number;
  }
  const std::string_view species = trimmed(text.substr(digits));
  auto formula = parse_formula(species);
  if (!formula) return Error{Fault::bad_data, why_no_species(formula.error(), species)};
  term.species = std::move(formula).value();
  return term;
}

Result<std::vector<Term>> read_side(std::string_view side) {
  std::vector<Term> terms;
  for (const std::string_view written : terms_of(side)) {
    auto term = read_term(written);
    if (!term) return term.error();
    terms.push_back(std::move(term).value());
  }
  return terms;
}

std::string side_text(const std::vector<Term>& terms) {
  std::string text;
  for (const Term& term : terms) {
    if (!text.empty()) text += " + ";
    if (term.coefficient != 1) text += rational_text(term.coefficient) + " ";
    text += term.species.text;
  }
  return text;
}

struct Amounts {
  std::map<std::string, Rational> atoms;
  Rational charge = 0;
};

Amounts amounts_of(const std::vector<Term>& terms) {
  Amounts amounts;
  for (const Term& term : terms) {
    for (const auto& [symbol, count] : term.species.atoms) {
      amounts.atoms[symbol] += term.coefficient * count;
    }
    amounts.charge += term.coefficient * term.species.charge;
  }
  return amounts;
}

std::string amount_text(const Imbalance& imbalance, const Rational& amount) {
  const bool plus = imbalance.what == "charge" && amount > 0;
  return (plus ? "+" : "") + rational_text(amount);
}

}  // namespace

Result<Equation> parse_equation(std::string_view written) {
  const std::string_view text = trimmed(written);
  if (text.size() > longest_equation) {
    return unreadable_equation(
        text.substr(0, 20),
        fmt::format("begins a text of more than {} characters", longest_equation));
  }
  std::optional<std::size_t> arrow;
  std::size_t length = 0;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const std::size_t found = arrow_length(text, i);
    if (found == 0) continue;
    if (arrow) return unreadable_equation(text, "more than one arrow");
    arrow = i;
    length = found;
    i += found - 1;
  }
  if (!arrow)
    return unreadable_equation(text, "no arrow; write it as \"->\", with products on its right");
  auto left = read_side(text.substr(0, *arrow));
  if (!left) return unreadable_equation(text, "on the left: " + left.error().text);
  auto right = read_side(text.substr(*arrow + length));
  if (!right) return unreadable_equation(text, "on the right: " + right.error().text);
  Equation equation{{}, std::move(left).value(), std::move(right).value()};
  equation.text = side_text(equation.left) + " -> " + side_text(equation.right);
  return equation;
}

Rational net_coefficient(const Equation& equation, const Formula& species) {
  Rational net = 0;
  for (const Term& term : equation.right) {
    if (term.species == species) net += term.coefficient;
  }
  for (const Term& term : equation.left) {
    if (term.species == species) net -= term.coefficient;
  }
  return net;
}

std::vector<Imbalance> imbalances(const Equation& equation) {
  Amounts left = amounts_of(equation.left);
  Amounts right = amounts_of(equation.right);
  for (const auto& [symbol, amount] : left.atoms) right.atoms[symbol] += 0;
  std::vector<Imbalance> found;
  for (const auto& [symbol, amount] : right.atoms) {
    const Rational before = left.atoms[symbol];
    if (before != amount) found.push_back({symbol, before, amount});
  }
  if (left.charge != right.charge) found.push_back({"charge", left.charge, right.charge});
  return found;
}

Result<void> check_balance(const Equation& equation) {
  std::string what;
  for (const Imbalance& imbalance : imbalances(equation)) {
    if (!what.empty()) what += "; ";
    what += fmt::format("{} {} on the left, {} on the right", imbalance.what,
                        amount_text(imbalance, imbalance.left),
                        amount_text(imbalance, imbalance.right));
  }
  if (what.empty()) return {};
  return unreadable_equation(equation.text, "not balanced: " + what);
}

Result<Equation> balanced_equation(std::string_view text) {
  auto equation = parse_equation(text);
  if (!equation) return equation;
  if (const auto balanced = check_balance(*equation); !balanced) return balanced.error();
  return equation;
}

}  // namespace nestcup
