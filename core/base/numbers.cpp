#include "core/base/numbers.hpp"

#include <array>
#include <charconv>
#include <cmath>

namespace nestcup {

std::optional<double> parse_number(std::string_view text) {
  // from_chars takes no plus sign; a second sign behind it must stay an error.
  if (text.size() > 1 && text.front() == '+' && text[1] != '-' && text[1] != '+') {
    text.remove_prefix(1);
  }
  double value = 0.0;
  const char* const end = text.data() + text.size();
  const auto [stop, fault] = std::from_chars(text.data(), end, value);
  if (fault != std::errc{} || stop != end || !std::isfinite(value)) return std::nullopt;
  return value;
}

std::string number_text(double value) {
  std::array<char, 64> buffer{};
  const auto [stop, fault] = std::to_chars(buffer.data(), buffer.data() + buffer.size(), value);
  std::string text(buffer.data(), fault == std::errc{} ? stop : buffer.data());
  if (text.find_first_not_of("-0123456789") == std::string::npos) text += ".0";
  return text;
}

std::string_view trimmed(std::string_view text) {
  const auto is_blank = [](char c) { return c == ' ' || c == '\t' || c == '\r'; };
  while (!text.empty() && is_blank(text.front())) text.remove_prefix(1);
  while (!text.empty() && is_blank(text.back())) text.remove_suffix(1);
  return text;
}

}  // namespace nestcup
