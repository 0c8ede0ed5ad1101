#include "drivers/protocol/text_number.hpp"

#include <algorithm>
#include <array>
#include <string>

#include "core/base/numbers.hpp"

namespace nestcup::drivers {
namespace {

char lower(char c) {
  return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

// "nan", "-inf", "Infinity", "nan(0)": words that C libraries print for what is no number.
bool is_not_finite_word(std::string_view field) {
  std::string word(field);
  std::transform(word.begin(), word.end(), word.begin(), lower);
  if (!word.empty() && (word.front() == '+' || word.front() == '-')) word.erase(0, 1);
  if (word.starts_with("nan(") && word.ends_with(')')) return true;
  constexpr std::array<std::string_view, 3> words{"nan", "inf", "infinity"};
  return std::find(words.begin(), words.end(), word) != words.end();
}

}  // namespace

TextNumber read_text_number(std::string_view field, Decimal decimal) {
  std::string with_point;
  std::string_view number = field;
  if (decimal == Decimal::comma) {
    with_point = field;
    std::replace(with_point.begin(), with_point.end(), ',', '.');
    number = with_point;
  }
  const bool has_foreign_point =
      decimal == Decimal::comma && field.find('.') != std::string_view::npos;
  if (!has_foreign_point) {
    if (const auto value = parse_number(number)) return {*value, std::nullopt};
  }
  return {0.0, is_not_finite_word(field) ? LineFault::not_finite : LineFault::bad_number};
}

}  // namespace nestcup::drivers
