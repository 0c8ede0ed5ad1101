#include "tests/fuzz/amount_edit_property.hpp"

#include <vector>

#include "core/sheet/amount_edit.hpp"
#include "core/sheet/amounts.hpp"
#include "core/sheet/sheet_file.hpp"

namespace nestcup::fuzzing {
namespace {

using Values = std::vector<std::optional<double>>;

/// Every amount of the sheet and how well it is known, in one row.
Values values_of(const Sheet& sheet) {
  Values values;
  for (const SheetTrial& trial : sheet.trials) {
    for (const SheetAmount& amount : amounts_of(sheet, trial)) {
      values.push_back(amount.value);
      values.push_back(amount.u);
    }
  }
  return values;
}

std::optional<std::string> broken_way_back(const Sheet& sheet, const AmountEdit& there,
                                           AmountChange change) {
  change.value = there.before;
  const auto back = edit_amount(there.sheet, change);
  if (!back) return "no way back: " + back.error().text;
  if (values_of(back->sheet) != values_of(sheet)) return "other amounts after the way back";
  if (!there.before && back->sheet.text != sheet.text) return "another text after the way back";
  return std::nullopt;
}

std::optional<std::string> broken_edit(const Sheet& sheet, const AmountChange& change,
                                       std::size_t place) {
  const auto there = edit_amount(sheet, change);
  if (!there) {
    const bool is_line = there.error().text.find('\n') == std::string::npos;
    return is_line ? std::nullopt : std::optional("not one line: " + there.error().text);
  }
  Values expected = values_of(sheet);
  if (there->before != expected.at(place)) return "another amount before than the sheet's";
  expected[place] = change.value;
  if (values_of(there->sheet) != expected) return "more or less than one amount changed";
  return broken_way_back(sheet, *there, change);
}

}  // namespace

std::optional<std::string> broken_edit_property(std::string_view text) {
  const SheetCheck check = check_sheet_text(std::string(text), "fuzz.toml");
  if (!check.sheet) return std::nullopt;
  std::size_t place = 0;
  for (const SheetTrial& trial : check.sheet->trials) {
    for (const SheetAmount& amount : amounts_of(*check.sheet, trial)) {
      const double value = amount.value.value_or(10.0) * 0.75 + 0.001;
      const AmountChange change{trial.name, amount.part, amount.key, value};
      if (auto broken = broken_edit(*check.sheet, change, place)) {
        return trial.name + " " + amount.part + "." + amount.key + ": " + *broken;
      }
      place += 2;
    }
  }
  return std::nullopt;
}

}  // namespace nestcup::fuzzing
