#include <fmt/format.h>

#include <cctype>

#include "core/matter/elements.hpp"
#include "core/matter/formula_cursor.hpp"

namespace nestcup {

namespace {

constexpr int deepest_group = 8;

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

/// Functions that return false have noted the error in the cursor.
class CompositionReader {
 public:
  explicit CompositionReader(FormulaCursor& cursor) : cursor_(cursor) {}

  bool read(Composition& whole) {
    if (!units(0, whole)) return false;
    while (take_dot()) {
      const std::size_t begin = cursor_.at();
      int count = 1;
      Composition part;
      if (!cursor_.read_count(count) || !units(0, part)) return false;
      whole.text += count == 1 ? "." + part.text : fmt::format(".{}{}", count, part.text);
      if (!add(whole.atoms, part.atoms, count, begin)) return false;
    }
    return true;
  }

 private:
  bool take_dot() {
    if (cursor_.here() == '.' || cursor_.here() == '*') {
      cursor_.step();
      return true;
    }
    constexpr std::string_view middle_dot = "\xC2\xB7";
    if (!cursor_.rest().starts_with(middle_dot)) return false;
    cursor_.step(middle_dot.size());
    return true;
  }

  /// Elements and groups up to whatever else comes, at least one.
  bool units(int depth, Composition& into) {
    int read = 0;
    for (;; ++read) {
      Composition unit;
      const std::size_t begin = cursor_.at();
      const bool bracket = cursor_.here() == '(' || cursor_.here() == '[';
      if (cursor_.at_capital()) {
        if (!element(unit)) return false;
      } else if (bracket && !cursor_.phase_here()) {
        if (!group(depth + 1, unit)) return false;
      } else {
        break;
      }
      int count = 1;
      if (!cursor_.read_count(count)) return false;
      append(unit, count, into);
      if (!add(into.atoms, unit.atoms, count, begin)) return false;
      into.is_one_atom = read == 0 && unit.is_one_atom && count == 1;
    }
    return read > 0 || no_unit();
  }

  bool no_unit() {
    const std::size_t at = cursor_.at();
    if (cursor_.at_end()) return cursor_.fail(at, "an element should stand here");
    if (cursor_.at_digit()) return cursor_.fail(at, "a number without an element before it");
    if (cursor_.at_small_letter()) {
      const std::string_view phases =
          cursor_.before() == '(' ? ", and phases are (s), (l), (g), (aq)" : "";
      return cursor_.fail(at, fmt::format("{}: elements begin with a capital{}{}", cursor_.word(),
                                          phases, advice_for(cursor_.word())));
    }
    return cursor_.fail(at, fmt::format("an element should stand here, not {}", cursor_.shown()));
  }

  bool element(Composition& unit) {
    const auto symbol = cursor_.word();
    if (find_element(symbol) == nullptr) {
      return cursor_.fail(cursor_.at(),
                          fmt::format("{} is no element with a standard atomic weight{}", symbol,
                                      advice_for(symbol)));
    }
    cursor_.step(symbol.size());
    unit.text = symbol;
    unit.atoms[unit.text] = 1;
    unit.is_one_atom = true;
    return true;
  }

  bool group(int depth, Composition& unit) {
    const std::size_t begin = cursor_.at();
    if (depth > deepest_group) return cursor_.fail(begin, "too many brackets within each other");
    const char closing = cursor_.here() == '(' ? ')' : ']';
    cursor_.step();
    if (!units(depth, unit)) return false;
    if (cursor_.here() != closing) {
      return cursor_.fail(cursor_.at_end() ? begin : cursor_.at(),
                          fmt::format("the bracket that opens at character {} is not closed by "
                                      "'{}'",
                                      begin + 1, closing));
    }
    cursor_.step();
    return true;
  }

  static void append(const Composition& unit, int count, Composition& into) {
    const bool bare = count == 1 || unit.is_one_atom;
    into.text += bare ? unit.text : "(" + unit.text + ")";
    if (count > 1) into.text += std::to_string(count);
  }

  bool add(std::map<std::string, int>& sum, const std::map<std::string, int>& atoms, int count,
           std::size_t begin) {
    constexpr int most_atoms = 1'000'000;
    for (const auto& [symbol, number] : atoms) {
      const long long total = static_cast<long long>(number) * count + sum[symbol];
      if (total > most_atoms) return cursor_.fail(begin, "too many atoms");
      sum[symbol] = static_cast<int>(total);
    }
    return true;
  }

  FormulaCursor& cursor_;
};

}  // namespace

std::optional<Composition> read_composition(FormulaCursor& cursor) {
  Composition whole;
  if (!CompositionReader(cursor).read(whole)) return std::nullopt;
  return whole;
}

}  // namespace nestcup
