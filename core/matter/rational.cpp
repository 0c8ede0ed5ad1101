#include "core/matter/rational.hpp"

namespace nestcup {

namespace {

using Whole = boost::multiprecision::cpp_int;

constexpr std::size_t most_digits = 12;

/// Digits alone, 1 to most_digits of them.
std::optional<Whole> whole_number(std::string_view text) {
  if (text.empty() || text.size() > most_digits) return std::nullopt;
  Whole number = 0;
  for (const char c : text) {
    if (c < '0' || c > '9') return std::nullopt;
    number = number * 10 + (c - '0');
  }
  return number;
}

std::optional<Rational> unsigned_number(std::string_view text) {
  const std::size_t at = text.find_first_of("/.");
  if (at == std::string_view::npos) {
    const auto whole = whole_number(text);
    if (!whole) return std::nullopt;
    return Rational(*whole);
  }
  const auto before = whole_number(text.substr(0, at));
  const auto behind = whole_number(text.substr(at + 1));
  if (!before || !behind) return std::nullopt;
  if (text[at] == '/') {
    if (*behind == 0) return std::nullopt;
    return Rational(*before, *behind);
  }
  Whole scale = 1;
  for (std::size_t i = at + 1; i < text.size(); ++i) scale *= 10;
  return Rational(*before * scale + *behind, scale);
}

}  // namespace

std::string rational_text(const Rational& number) {
  return number.str();
}

std::optional<Rational> parse_rational(std::string_view text) {
  const bool negative = text.starts_with('-');
  if (negative) text.remove_prefix(1);
  auto number = unsigned_number(text);
  if (number && negative) *number = -*number;
  return number;
}

double to_double(const Rational& number) {
  return number.convert_to<double>();
}

}  // namespace nestcup
