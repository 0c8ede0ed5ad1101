#include "tests/fuzz/sheet_property.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>

#include "core/sheet/sheet_file.hpp"

namespace nestcup::fuzzing {
namespace {

constexpr std::string_view name = "fuzz.toml:";

/// The line that a problem names; 0 where it names none.
std::size_t line_of(std::string_view problem) {
  if (!problem.starts_with(name)) return 0;
  problem.remove_prefix(name.size());
  std::size_t line = 0;
  const auto [end, fault] = std::from_chars(problem.data(), problem.data() + problem.size(), line);
  const bool is_sound =
      fault == std::errc() && end != problem.data() + problem.size() && *end == ':';
  return is_sound ? line : 0;
}

std::optional<std::string> broken_problems(const std::vector<Error>& problems,
                                           std::string_view text) {
  if (problems.empty()) return "refused without a problem";
  const auto lines = static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n')) + 1;
  std::size_t last = 0;
  for (const Error& problem : problems) {
    const std::size_t line = line_of(problem.text);
    if (line == 0 || line > lines) return "no such line: " + problem.text;
    if (line < last) return "not in order: " + problem.text;
    if (problem.text.find('\n') != std::string::npos) return "not one line: " + problem.text;
    last = line;
  }
  return std::nullopt;
}

bool is_amount(const std::optional<double>& value) {
  return !value || (std::isfinite(*value) && *value > 0.0);
}

bool is_sound(const Contents& contents, const Sheet& sheet) {
  const bool one_what = contents.stock.has_value() != !contents.substance_text.empty();
  const bool one_amount = contents.volume_mL.has_value() != contents.mass_g.has_value();
  return one_what && one_amount && is_amount(contents.volume_mL) && is_amount(contents.mass_g) &&
         is_amount(contents.u_volume_mL) && is_amount(contents.u_mass_g) &&
         (!contents.stock || *contents.stock < sheet.stocks.size()) &&
         (!contents.instrument || *contents.instrument < sheet.instruments.size());
}

bool is_sound(const TypedTrial& typed) {
  return std::isfinite(typed.cup_degC) && typed.final_degC.has_value() == typed.readings.empty() &&
         is_amount(typed.u_degC) && typed.readings.size() != 1;
}

bool is_sound(const SheetTrial& trial, const Sheet& sheet) {
  const bool electrical = trial.purpose == Purpose::electrical_calibration;
  const bool has_needs = trial.cup && (electrical ? trial.heater.has_value() : true) &&
                         trial.added.has_value() != electrical &&
                         (trial.purpose != Purpose::reaction || trial.equation);
  return has_needs && !trial.name.empty() && is_sound(*trial.cup, sheet) &&
         (!trial.added || is_sound(*trial.added, sheet)) &&
         std::all_of(trial.typed.begin(), trial.typed.end(),
                     [](const TypedTrial& typed) { return is_sound(typed); });
}

bool is_sound(const Cycle& cycle, const Sheet& sheet) {
  return !cycle.target.left.empty() && !cycle.target.right.empty() &&
         std::all_of(cycle.from.begin(), cycle.from.end(), [&](std::size_t index) {
           return index < sheet.trials.size() && sheet.trials[index].equation;
         });
}

}  // namespace

std::optional<std::string> broken_sheet_property(std::string_view text) {
  const SheetCheck check = check_sheet_text(std::string(text), "fuzz.toml");
  if (!check.sheet) return broken_problems(check.problems, text);
  if (!check.problems.empty()) return "taken in spite of: " + check.problems.front().text;
  const Sheet& sheet = *check.sheet;
  for (const SheetTrial& trial : sheet.trials) {
    if (!is_sound(trial, sheet)) return "unsound trial: " + trial.name;
    if (sheet.find(trial.name) != &trial) return "two trials of one name: " + trial.name;
  }
  for (const Stock& stock : sheet.stocks) {
    const bool one = stock.concentration_mol_per_L.has_value() != stock.mass_fraction.has_value();
    if (!one || stock.substance.text.empty()) return "unsound stock: " + stock.name;
  }
  if (sheet.cycle && !is_sound(*sheet.cycle, sheet)) return "unsound cycle";
  return std::nullopt;
}

}  // namespace nestcup::fuzzing
