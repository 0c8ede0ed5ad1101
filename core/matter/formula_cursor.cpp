#include "core/matter/formula_cursor.hpp"

#include <fmt/format.h>

#include <array>

namespace nestcup {

std::string_view FormulaCursor::word() const {
  std::size_t end = at_ + 1;
  while (end < text_.size() && text_[end] >= 'a' && text_[end] <= 'z') ++end;
  return text_.substr(at_, end - at_);
}

bool FormulaCursor::read_count(int& count) {
  constexpr int highest = 9999;
  if (!at_digit()) return true;
  const std::size_t begin = at_;
  count = 0;
  for (; at_digit(); ++at_) {
    count = count * 10 + (here() - '0');
    if (count > highest) return fail(begin, "this number is too large");
  }
  return count > 0 || fail(begin, "a number of 0 says nothing");
}

std::optional<std::pair<Phase, std::size_t>> FormulaCursor::phase_here() const {
  constexpr std::array<std::pair<std::string_view, Phase>, 5> known{{{"(s)", Phase::solid},
                                                                     {"(cr)", Phase::solid},
                                                                     {"(l)", Phase::liquid},
                                                                     {"(g)", Phase::gas},
                                                                     {"(aq)", Phase::aqueous}}};
  for (const auto& [text, phase] : known) {
    if (rest().starts_with(text)) return std::pair{phase, text.size()};
  }
  return std::nullopt;
}

bool FormulaCursor::fail(std::size_t at, std::string_view what) {
  error_ = fmt::format("character {}: {}", at + 1, what);
  return false;
}

std::string FormulaCursor::shown() const {
  const char c = here();
  if (c == ' ') return "a blank";
  return c > ' ' && c < '\x7f' ? fmt::format("'{}'", c) : "a character that no formula has";
}

}  // namespace nestcup
