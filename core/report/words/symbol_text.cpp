#include "core/report/words/symbol_text.hpp"

#include <array>
#include <utility>

#include "core/report/words/letters.hpp"

namespace nestcup {

namespace {

/// Whether a sign here is a charge: it stands right behind an element, a bracket or a count, and
/// not as the plus between species.
bool is_charge(std::string_view text, std::size_t at) {
  const char c = text[at];
  if ((c != '+' && c != '-') || at == 0) return false;
  const char before = text[at - 1];
  return is_letter(before) || is_digit(before) || before == ')' || before == ']';
}

/// A charge as it is written raised: "+2" is "2+", "-" the minus sign of typography.
std::string raised_charge(std::string_view text, std::size_t& at) {
  const std::string sign = text[at] == '+' ? "+" : "\xE2\x88\x92";
  std::string count;
  while (at + 1 < text.size() && is_digit(text[at + 1])) count += text[++at];
  return "^{" + count + sign + "}";
}

/// Digits behind an element or a bracket are a count of atoms.
bool is_count(std::string_view text, std::size_t at) {
  if (!is_digit(text[at]) || at == 0) return false;
  const char before = text[at - 1];
  return is_letter(before) || before == ')' || before == ']';
}

}  // namespace

std::string chemistry_text(std::string_view text) {
  std::string out;
  for (std::size_t at = 0; at < text.size(); ++at) {
    if (text.substr(at, 2) == "->") {
      out += "\xE2\x86\x92";
      ++at;
    } else if (is_charge(text, at)) {
      out += raised_charge(text, at);
    } else if (is_count(text, at)) {
      std::string count(1, text[at]);
      while (at + 1 < text.size() && is_digit(text[at + 1])) count += text[++at];
      out += "_{" + count + "}";
    } else {
      out += text[at];
    }
  }
  return out;
}

std::string symbol_text(std::string_view symbol) {
  static constexpr std::array<std::pair<std::string_view, std::string_view>, 3> greek{
      {{"Delta", "\xCE\x94"}, {"rho", "\xCF\x81"}, {"xi", "\xCE\xBE"}}};
  std::string out;
  for (const auto& [name, letter] : greek) {
    if (symbol.substr(0, name.size()) != name) continue;
    out += letter;
    symbol.remove_prefix(name.size());
  }
  const std::size_t open = symbol.find('(');
  std::string_view head = symbol.substr(0, open);
  const bool is_primed = !head.empty() && head.back() == '\'';
  if (is_primed) head.remove_suffix(1);
  const std::size_t low = head.find('_');
  out += head.substr(0, low);
  if (low != std::string_view::npos) out += "_{" + std::string(head.substr(low + 1)) + "}";
  if (is_primed) out += "\xE2\x80\xB2";
  if (open == std::string_view::npos) return out;
  const std::string_view inside = symbol.substr(open + 1, symbol.size() - open - 2);
  return out + "(" + chemistry_text(inside) + ")";
}

std::string unit_text(std::string_view unit) {
  std::string out;
  for (std::size_t at = 0; at < unit.size(); ++at) {
    if (unit.substr(at, 4) == "degC") {
      out +=
          "\xC2\xB0"
          "C";
      at += 3;
    } else if (unit[at] == ' ') {
      out += "\xC2\xA0";
    } else {
      out += unit[at];
    }
  }
  return out;
}

}  // namespace nestcup
