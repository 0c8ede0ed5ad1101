#include "core/sheet/amount_edit.hpp"

#include <fmt/format.h>

#include <cmath>

#include "core/base/nearest.hpp"
#include "core/sheet/amount_text.hpp"
#include "core/sheet/amounts.hpp"
#include "core/sheet/sheet_file.hpp"
#include "core/sheet/toml_section.hpp"
#include "core/sheet/trial_choice.hpp"

namespace nestcup {

namespace {

bool has_part(const SheetTrial& trial, const std::string& part) {
  if (part == "cup") return trial.cup.has_value();
  return part == "added" ? trial.added.has_value() : trial.heater.has_value();
}

/// Part and key are known, and the trial has the part.
Result<void> check_key(const SheetTrial& trial, const AmountChange& change) {
  const auto keys = amount_keys(change.part);
  if (keys.empty()) {
    return Error{Fault::usage, fmt::format("\"{}\" is no part of a trial, expected \"cup\", "
                                           "\"added\" or \"heater\"",
                                           change.part)};
  }
  if (std::find(keys.begin(), keys.end(), change.key) == keys.end()) {
    const auto near = nearest(change.key, keys);
    return Error{Fault::usage,
                 fmt::format("\"{}\" is no amount of {}, expected {}{}", change.key, change.part,
                             listed(keys), near ? "; is \"" + *near + "\" meant?" : "")};
  }
  if (!has_part(trial, change.part)) {
    return Error{Fault::usage, fmt::format("the trial \"{}\" has no {}", trial.name, change.part)};
  }
  if (change.value && !std::isfinite(*change.value)) {
    return Error{Fault::usage, "the amount is no finite number"};
  }
  return {};
}

toml::table& part_table(toml::table& file, std::size_t trial, const std::string& part) {
  return *file["trial"][trial][part].as_table();
}

Error too_unusual(const Sheet& sheet, const AmountChange& change) {
  return {Fault::bad_data,
          fmt::format("{}: [[trial]] \"{}\": {}.{} is written in a way in which it cannot be "
                      "changed alone; change it in the file, then let the daemon take the file up "
                      "(nestcup sheet reload)",
                      sheet.path, change.trial, change.part, change.key)};
}

std::string changed_text(const std::string& text, const toml::table& table,
                         const AmountChange& change) {
  if (!change.value) return without_key(text, table, change.key);
  if (table.contains(change.key)) return with_value(text, table, change.key, *change.value);
  return with_key(text, table, change.key, *change.value);
}

/// The same file where nothing but this key is another; so no unusual way of writing a file lets an
/// edit do more, or less, than it should.
bool says_just_that(const std::string& text, toml::table expected, std::size_t trial,
                    const AmountChange& change) {
  ProblemList problems("", Fault::bad_data);
  const auto read = parse_toml(text, problems);
  if (!read) return false;
  toml::table& table = part_table(expected, trial, change.part);
  if (change.value) {
    table.insert_or_assign(change.key, *change.value);
  } else {
    table.erase(change.key);
  }
  return *read == expected;
}

Result<Sheet> checked(const Sheet& before, const std::string& text) {
  SheetCheck check = check_sheet_text(text, before.path);
  if (check.sheet) return std::move(*check.sheet);
  const std::size_t more = check.problems.size() - 1;
  return Error{Fault::bad_data, fmt::format("nothing was set, for the sheet would be wrong: {}{}",
                                            check.problems.front().text,
                                            more > 0 ? fmt::format(" (and {} more)", more) : "")};
}

}  // namespace

Result<AmountEdit> edit_amount(const Sheet& sheet, const AmountChange& change) {
  const auto index = trial_named(sheet, change.trial);
  if (!index) return index.error();
  if (auto sound = check_key(sheet.trials[*index], change); !sound) return sound.error();
  ProblemList problems(sheet.path, Fault::bad_data);
  auto file = parse_toml(sheet.text, problems);
  if (!file) return problems.in_order().front();
  const toml::table& table = part_table(*file, *index, change.part);
  const auto before = table[change.key].value<double>();
  if (before == change.value) return AmountEdit{sheet, before};
  const std::string text = changed_text(sheet.text, table, change);
  if (!says_just_that(text, *file, *index, change)) return too_unusual(sheet, change);
  auto edited = checked(sheet, text);
  if (!edited) return edited.error();
  return AmountEdit{std::move(edited).value(), before};
}

}  // namespace nestcup
