#include "core/matter/formula.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <utility>

#include "core/base/numbers.hpp"
#include "core/matter/formula_cursor.hpp"

namespace nestcup {

namespace {

constexpr std::size_t longest_formula = 200;
constexpr int highest_charge = 20;

/// "Mg2+" or "S2-": most people mean one ion with a charge of two. "H2+" and "O2-" are read as
/// they stand, since such ions exist.
bool means_one_ion(const Formula& formula, char sign) {
  constexpr std::array clusters{"H", "He", "C", "N", "O", "F", "S", "P", "Cl", "Br", "I", "Ar"};
  if (formula.atoms.size() != 1 || formula.atoms.begin()->second == 1) return false;
  if (sign == '-') return formula.text == "S2";
  const std::string& symbol = formula.atoms.begin()->first;
  return std::find(clusters.begin(), clusters.end(), symbol) == clusters.end();
}

bool refuse_cluster(FormulaCursor& cursor, std::size_t at, const Formula& formula, char sign) {
  const auto& [symbol, count] = *formula.atoms.begin();
  return cursor.fail(
      at, fmt::format("{}{} would be {} atoms with one charge; write {}{}{} or {}^{}{}",
                      formula.text, sign, count, symbol, sign, count, symbol, count, sign));
}

/// @return false where the cursor has noted an error
bool read_charge(FormulaCursor& cursor, Formula& formula) {
  const std::size_t begin = cursor.at();
  const bool caret = cursor.here() == '^';
  if (caret) cursor.step();
  int size = 1;
  const bool number_first = cursor.at_digit();
  if (number_first && !cursor.read_count(size)) return false;
  const char sign = cursor.here();
  if (sign != '+' && sign != '-') {
    return !caret || cursor.fail(begin, "a charge needs its sign, as in Mg^2+");
  }
  cursor.step();
  if (cursor.at_digit() && !number_first) {
    if (!cursor.read_count(size)) return false;
  } else if (!caret && means_one_ion(formula, sign)) {
    return refuse_cluster(cursor, begin, formula, sign);
  }
  if (size > highest_charge) return cursor.fail(begin, "no ion has such a charge");
  formula.charge = sign == '+' ? size : -size;
  formula.text += size == 1 ? std::string(1, sign) : fmt::format("{}{}", sign, size);
  return true;
}

void read_phase(FormulaCursor& cursor, Formula& formula) {
  while (cursor.here() == ' ') cursor.step();
  const auto found = cursor.phase_here();
  if (!found) return;
  cursor.step(found->second);
  formula.phase = found->first;
  formula.text += fmt::format("({})", phase_name(found->first));
}

bool nothing_left(FormulaCursor& cursor) {
  return cursor.at_end() ||
         cursor.fail(cursor.at(),
                     fmt::format("nothing should follow here, but {} does", cursor.shown()));
}

Error unreadable_formula(std::string_view text, std::string_view why) {
  return {Fault::bad_data, fmt::format("formula \"{}\": {}", text, why)};
}

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

Result<Formula> parse_formula(std::string_view written) {
  const std::string_view text = trimmed(written);
  if (text.empty()) {
    return unreadable_formula(text,
                              "there is nothing where a substance should stand, such as H2O(l)");
  }
  if (text.size() > longest_formula) {
    return unreadable_formula(
        text.substr(0, 20),
        fmt::format("begins a text of more than {} characters", longest_formula));
  }
  if (text == "e-" || text == "e^-") return Formula{"e-", {}, -1, std::nullopt};
  FormulaCursor cursor(text);
  auto composition = read_composition(cursor);
  if (!composition) return unreadable_formula(text, cursor.error());
  Formula formula{std::move(composition->text), std::move(composition->atoms), 0, std::nullopt};
  if (!read_charge(cursor, formula)) return unreadable_formula(text, cursor.error());
  read_phase(cursor, formula);
  if (!nothing_left(cursor)) return unreadable_formula(text, cursor.error());
  return formula;
}

Formula in_phase(const Formula& formula, std::optional<Phase> phase) {
  Formula other = formula;
  if (other.phase) other.text.resize(other.text.rfind('('));
  other.phase = phase;
  if (phase) other.text += fmt::format("({})", phase_name(*phase));
  return other;
}

}  // namespace nestcup
