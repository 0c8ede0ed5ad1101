#include "core/matter/formula.hpp"

#include <fmt/format.h>

#include <array>
#include <cctype>
#include <utility>

#include "core/base/numbers.hpp"
#include "core/matter/elements.hpp"

namespace nestcup {

namespace {

constexpr std::size_t longest_formula = 200;
constexpr int deepest_group = 8;
constexpr int most_of_one_kind = 9999;
constexpr int highest_charge = 20;

bool is_upper(char c) {
  return c >= 'A' && c <= 'Z';
}
bool is_lower(char c) {
  return c >= 'a' && c <= 'z';
}
bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

/// "NaCl" of "nacl" or "Nacl": element symbols that spell the letters, two-letter ones first.
std::optional<std::string> spelt_by_symbols(std::string_view letters) {
  if (letters.empty()) return std::string();
  for (const std::size_t length : {std::size_t{2}, std::size_t{1}}) {
    if (letters.size() < length) continue;
    std::string symbol(letters.substr(0, length));
    symbol[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(symbol[0])));
    if (find_element(symbol) == nullptr) continue;
    if (const auto rest = spelt_by_symbols(letters.substr(length))) return symbol + *rest;
  }
  return std::nullopt;
}

std::string advice_for(std::string_view letters) {
  // Longer words are no formula, and trying to spell them takes long.
  auto meant = letters.size() > 12 ? std::nullopt : spelt_by_symbols(letters);
  if (!meant) meant = nearest_element(letters);
  return meant ? fmt::format(", did you mean {}?", *meant) : "";
}

/// Part of a formula, read.
struct Piece {
  std::string text;
  std::map<std::string, int> atoms;
  bool is_one_atom = false;
};

/// Reads one formula from left to right. Functions that return false have set error_.
class FormulaReader {
 public:
  explicit FormulaReader(std::string_view text) : text_(trimmed(text)) {}

  Result<Formula> read() {
    if (read_all()) return std::move(formula_);
    return Error{Fault::bad_data, fmt::format("formula \"{}\": {}", text_, error_)};
  }

 private:
  [[nodiscard]] bool at_end() const { return at_ >= text_.size(); }
  [[nodiscard]] char here() const { return at_end() ? '\0' : text_[at_]; }

  bool fail(std::size_t at, std::string_view what) {
    error_ = fmt::format("character {}: {}", at + 1, what);
    return false;
  }

  bool read_all() {
    if (text_.empty()) {
      error_ = "there is nothing where a substance should stand, such as H2O(l)";
      return false;
    }
    if (text_.size() > longest_formula) {
      // Not the whole of it in the message.
      text_ = text_.substr(0, 20);
      error_ = fmt::format("begins a formula of more than {} characters", longest_formula);
      return false;
    }
    if (text_ == "e-" || text_ == "e^-") {
      formula_.text = "e-";
      formula_.charge = -1;
      return true;
    }
    return parts() && charge() && phase() && nothing_left();
  }

  bool parts() {
    Piece first;
    if (!units(0, first)) return false;
    formula_.text = first.text;
    formula_.atoms = first.atoms;
    while (take_dot()) {
      const std::size_t begin = at_;
      int count = 1;
      Piece part;
      if (!read_count(count) || !units(0, part)) return false;
      formula_.text += count == 1 ? "." + part.text : fmt::format(".{}{}", count, part.text);
      if (!add(formula_.atoms, part.atoms, count, begin)) return false;
    }
    return true;
  }

  bool take_dot() {
    if (here() == '.' || here() == '*') {
      ++at_;
      return true;
    }
    if (text_.substr(at_).starts_with("\xC2\xB7")) {
      at_ += 2;
      return true;
    }
    return false;
  }

  /// Elements and groups up to whatever else comes, at least one.
  bool units(int depth, Piece& into) {
    int read = 0;
    for (;; ++read) {
      Piece unit;
      const std::size_t begin = at_;
      if (is_upper(here())) {
        if (!element(unit)) return false;
      } else if ((here() == '(' || here() == '[') && !phase_here()) {
        if (!group(depth + 1, unit)) return false;
      } else {
        break;
      }
      int count = 1;
      if (!read_count(count)) return false;
      append(unit, count, into);
      if (!add(into.atoms, unit.atoms, count, begin)) return false;
      into.is_one_atom = read == 0 && unit.is_one_atom && count == 1;
    }
    return read > 0 || no_unit();
  }

  bool no_unit() {
    const std::size_t begin = at_;
    if (at_end()) return fail(begin, "an element should stand here");
    if (is_digit(here())) return fail(begin, "a number without an element before it");
    if (is_lower(here())) {
      const auto letters = letters_from(begin);
      return fail(begin,
                  fmt::format("{}: elements begin with a capital{}", letters, advice_for(letters)));
    }
    return fail(begin, fmt::format("an element should stand here, not {}", shown()));
  }

  [[nodiscard]] std::string_view letters_from(std::size_t begin) const {
    std::size_t end = begin + 1;
    while (end < text_.size() && is_lower(text_[end])) ++end;
    return text_.substr(begin, end - begin);
  }

  bool element(Piece& unit) {
    const auto symbol = letters_from(at_);
    if (find_element(symbol) == nullptr) {
      return fail(at_, fmt::format("{} is no element with a standard atomic weight{}", symbol,
                                   advice_for(symbol)));
    }
    at_ += symbol.size();
    unit.text = symbol;
    unit.atoms[unit.text] = 1;
    unit.is_one_atom = true;
    return true;
  }

  bool group(int depth, Piece& unit) {
    const std::size_t begin = at_;
    if (depth > deepest_group) return fail(begin, "too many brackets within each other");
    const char closing = here() == '(' ? ')' : ']';
    ++at_;
    if (!units(depth, unit)) return false;
    if (here() != closing) {
      return fail(at_end() ? begin : at_,
                  fmt::format("the bracket that opens at character {} is not closed by '{}'",
                              begin + 1, closing));
    }
    ++at_;
    return true;
  }

  /// A whole number, where one stands here.
  bool read_count(int& count) {
    if (!is_digit(here())) return true;
    const std::size_t begin = at_;
    count = 0;
    for (; is_digit(here()); ++at_) {
      count = count * 10 + (here() - '0');
      if (count > most_of_one_kind) return fail(begin, "this number is too large");
    }
    if (count == 0) return fail(begin, "a number of 0 says nothing");
    return true;
  }

  static void append(const Piece& unit, int count, Piece& into) {
    const bool bare = count == 1 || unit.is_one_atom;
    into.text += bare ? unit.text : "(" + unit.text + ")";
    if (count > 1) into.text += std::to_string(count);
  }

  bool add(std::map<std::string, int>& sum, const std::map<std::string, int>& atoms, int count,
           std::size_t begin) {
    constexpr int most_atoms = 1'000'000;
    for (const auto& [symbol, number] : atoms) {
      const long long total = static_cast<long long>(number) * count + sum[symbol];
      if (total > most_atoms) return fail(begin, "too many atoms");
      sum[symbol] = static_cast<int>(total);
    }
    return true;
  }

  bool charge() {
    const std::size_t begin = at_;
    const bool caret = here() == '^';
    if (caret) ++at_;
    int size = 1;
    const bool number_first = is_digit(here());
    if (number_first && !read_count(size)) return false;
    const char sign = here();
    if (sign != '+' && sign != '-') {
      return begin == at_ || fail(begin, "a charge needs its sign, as in Mg^2+");
    }
    ++at_;
    if (is_digit(here()) && !number_first) {
      if (!read_count(size)) return false;
    } else if (!caret && means_one_ion(sign)) {
      return ambiguous(begin, sign);
    }
    if (size > highest_charge) return fail(begin, "no ion has such a charge");
    formula_.charge = sign == '+' ? size : -size;
    formula_.text += size == 1 ? std::string(1, sign) : fmt::format("{}{}", sign, size);
    return true;
  }

  /// "Mg2+" or "S2-": most people mean one ion with a charge of two.
  [[nodiscard]] bool means_one_ion(char sign) const {
    constexpr std::array clusters{"H", "He", "C", "N", "O", "F", "S", "P", "Cl", "Br", "I", "Ar"};
    const bool one_element = formula_.atoms.size() == 1 && formula_.atoms.begin()->second > 1;
    if (!one_element) return false;
    const std::string& symbol = formula_.atoms.begin()->first;
    if (sign == '-') return symbol == "S" && formula_.text == "S2";
    for (const char* const known : clusters) {
      if (symbol == known) return false;
    }
    return true;
  }

  bool ambiguous(std::size_t begin, char sign) {
    const auto& [symbol, count] = *formula_.atoms.begin();
    return fail(begin,
                fmt::format("{}{} would be {} atoms with one charge; write {}{}{} or {}^{}{}",
                            formula_.text, sign, count, symbol, sign, count, symbol, count, sign));
  }

  /// The phase that stands here, and how long it is.
  [[nodiscard]] std::optional<std::pair<Phase, std::size_t>> phase_here() const {
    constexpr std::array<std::pair<std::string_view, Phase>, 5> known{{{"(s)", Phase::solid},
                                                                       {"(cr)", Phase::solid},
                                                                       {"(l)", Phase::liquid},
                                                                       {"(g)", Phase::gas},
                                                                       {"(aq)", Phase::aqueous}}};
    for (const auto& [text, phase] : known) {
      if (text_.substr(at_).starts_with(text)) return std::pair{phase, text.size()};
    }
    return std::nullopt;
  }

  bool phase() {
    while (here() == ' ') ++at_;
    const auto found = phase_here();
    if (!found) return true;
    at_ += found->second;
    formula_.phase = found->first;
    formula_.text += fmt::format("({})", phase_name(found->first));
    return true;
  }

  bool nothing_left() {
    if (at_end()) return true;
    if (here() == '(' && formula_.phase == std::nullopt) {
      return fail(at_, "this is no phase: (s), (l), (g) or (aq)");
    }
    return fail(at_, fmt::format("nothing should follow here, but {} does", shown()));
  }

  /// The character here for a message; others than ASCII by their kind alone.
  [[nodiscard]] std::string shown() const {
    const char c = here();
    if (c == ' ') return "a blank";
    return c > ' ' && c < '\x7f' ? fmt::format("'{}'", c) : "a character that no formula has";
  }

  std::string_view text_;
  std::size_t at_ = 0;
  Formula formula_;
  std::string error_;
};

}  // namespace

std::string_view phase_name(Phase phase) {
  switch (phase) {
    case Phase::solid:
      return "s";
    case Phase::liquid:
      return "l";
    case Phase::gas:
      return "g";
    case Phase::aqueous:
      return "aq";
  }
  return "";
}

Result<Formula> parse_formula(std::string_view text) {
  return FormulaReader(text).read();
}

Formula in_phase(const Formula& formula, std::optional<Phase> phase) {
  Formula other = formula;
  if (other.phase) other.text.resize(other.text.rfind('('));
  other.phase = phase;
  if (phase) other.text += fmt::format("({})", phase_name(*phase));
  return other;
}

}  // namespace nestcup
