// What each kind of suspect looks like, in words.
#include <fmt/format.h>

#include <cmath>

#include "core/base/uncertain_text.hpp"
#include "core/classroom/reason.hpp"

namespace nestcup {

namespace {

std::string figure(const Explanation& explanation, double sign = 1.0) {
  return uncertain_text({sign * explanation.value, explanation.u, {}}, explanation.suspect.unit);
}

std::string stated(const Suspect& suspect) {
  return uncertain_text({suspect.stated, 0.0, {}}, suspect.unit);
}

/// "1.00 mol/L HCl(aq)".
std::string stock_text(const Stock& stock) {
  if (stock.concentration_mol_per_L) {
    return fmt::format("{} mol/L {}", *stock.concentration_mol_per_L, stock.substance.text);
  }
  return fmt::format("{} % {} by mass", 100.0 * stock.mass_fraction.value_or(0.0),
                     stock.substance.text);
}

std::string more_or_less(double value) {
  return value > 0.0 ? "more" : "less";
}

std::string of_stock(const Explanation& explanation, const Sheet& sheet) {
  const Suspect& suspect = explanation.suspect;
  const Stock& mine = sheet.stocks[suspect.index];
  switch (suspect.kind) {
    case SuspectKind::other_stock: {
      const Stock& other = sheet.stocks[suspect.other_index];
      return fmt::format(
          "It looks as if {} ({}) had stood where {} ({}) belongs: the wrong bottle? Compare the "
          "labels of both, and what was filled into them.",
          other.name, stock_text(other), mine.name, stock_text(mine));
    }
    case SuspectKind::exchanged_stocks:
      return fmt::format(
          "It looks as if {} and {} had been exchanged. Compare the labels of both bottles, and "
          "what was filled into them.",
          mine.name, sheet.stocks[suspect.other_index].name);
    default:
      return fmt::format(
          "It looks as if {} had held {} in place of {}. See how it was made and diluted, whether "
          "the bottle was the right one, and titrate it if some is left.",
          suspect.name, figure(explanation), stated(suspect));
  }
}

std::string of_tools(const Explanation& explanation) {
  const Suspect& suspect = explanation.suspect;
  const double sign = explanation.value > 0.0 ? 1.0 : -1.0;
  switch (suspect.kind) {
    case SuspectKind::cylinder:
      return fmt::format(
          "It looks as if {} had held {} {} than was read, each time. See which one was used, and "
          "read a volume again at the lower edge of the meniscus; weigh it.",
          suspect.name, figure(explanation, sign), more_or_less(explanation.value));
    case SuspectKind::balance:
      return fmt::format(
          "It looks as if there had been {} {} than was read on {}, each time. See whether it was "
          "set to zero with the vessel on it, and weigh something known.",
          figure(explanation, sign), more_or_less(explanation.value), suspect.name);
    case SuspectKind::cup_scale: {
      Explanation percent = explanation;
      percent.value *= 100.0;
      percent.u *= 100.0;
      return fmt::format(
          "It looks as if the cup's probe showed every rise {} % too {}. Calibrate it at two "
          "points: nestcup calibrate.",
          figure(percent, sign), sign > 0.0 ? "large" : "small");
    }
    case SuspectKind::added_offset:
      return fmt::format(
          "It looks as if the second vessel's probe showed {} too {}. Hold both probes in one "
          "stirred vessel: nestcup calibrate --compare.",
          figure(explanation, sign), sign > 0.0 ? "much" : "little");
    case SuspectKind::constant:
      return fmt::format(
          "It looks as if the calorimeter took {} in place of {}. See whether the sheet's constant "
          "belongs to this cup.",
          figure(explanation), stated(suspect));
    default:
      return "";
  }
}

std::string of_trial(const Explanation& explanation) {
  const Suspect& suspect = explanation.suspect;
  if (suspect.kind == SuspectKind::added_temperature) {
    return fmt::format(
        "It looks as if what was added in {} had been at {} in place of {}. See how its "
        "temperature was taken.",
        suspect.trial, figure(explanation), stated(suspect));
  }
  return fmt::format(
      "It looks as if there had been {} in place of {} {} {}. Look at the note of the amount, and "
      "measure it again.",
      figure(explanation), stated(suspect),
      suspect.of_cup ? "in the cup of" : "in what was added in", suspect.trial);
}

std::string looks_like(const Explanation& explanation, const Sheet& sheet) {
  switch (explanation.suspect.kind) {
    case SuspectKind::strength:
    case SuspectKind::other_stock:
    case SuspectKind::exchanged_stocks:
      return of_stock(explanation, sheet);
    case SuspectKind::amount:
    case SuspectKind::added_temperature:
      return of_trial(explanation);
    default:
      return of_tools(explanation);
  }
}

/// "mol/L" as names of numbers have it.
std::string unit_in_name(const std::string& unit) {
  if (unit == "mol/L") return "_mol_per_L";
  if (unit == "J/K") return "_J_per_K";
  return unit.empty() ? "" : "_" + unit;
}

}  // namespace

Reason reason_of(const Explanation& explanation, const Sheet& sheet, Trust trust) {
  const Suspect& suspect = explanation.suspect;
  Reason reason{suspect_code(suspect.kind), trust, looks_like(explanation, sheet),
                explanation.back};
  reason.text += fmt::format(
      " With that {} {} back to the class; what is left is as large by chance in {:.0f} % of "
      "cases.",
      list_of(explanation.back), explanation.back.size() == 1 ? "comes" : "come",
      100.0 * explanation.probability);
  const std::string unit = unit_in_name(suspect.unit);
  if (!suspect.is_choice()) {
    reason.values = {{"as_if" + unit, explanation.value},
                     {"u_as_if" + unit, explanation.u},
                     {"stated" + unit, suspect.stated}};
  }
  reason.values.emplace_back("chi_squared_before", explanation.chi_squared_before);
  reason.values.emplace_back("chi_squared_after", explanation.chi_squared_after);
  reason.values.emplace_back("probability", explanation.probability);
  return reason;
}

}  // namespace nestcup
