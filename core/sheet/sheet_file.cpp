#include "core/sheet/sheet_file.hpp"

#include <algorithm>

#include "core/base/digest.hpp"
#include "core/sheet/sheet_parts.hpp"

namespace nestcup {

namespace {

void read_title(TomlSection& file, Sheet& sheet) {
  auto section = file.table("sheet");
  if (section) {
    sheet.title = required_line(*section, "title", "what the day is about, in a few words");
    section->refuse_other_keys();
  } else if (!file.has("sheet")) {
    file.problem("[sheet] is missing, expected at least its title");
  }
}

}  // namespace

const SheetTrial* Sheet::find(const std::string& name) const {
  const auto found = std::find_if(trials.begin(), trials.end(),
                                  [&](const SheetTrial& trial) { return trial.name == name; });
  return found == trials.end() ? nullptr : &*found;
}

bool has_heater(const Sheet& sheet) {
  return std::any_of(sheet.trials.begin(), sheet.trials.end(),
                     [](const SheetTrial& trial) { return trial.heater.has_value(); });
}

SheetCheck check_sheet_text(const std::string& text, const std::string& path) {
  ProblemList problems(path, Fault::bad_data);
  const auto tables = parse_toml(text, problems);
  if (!tables) return {std::nullopt, problems.in_order()};
  TomlSection file(*tables, "", problems);
  Sheet sheet;
  sheet.path = path;
  sheet.sha256 = sha256_hex(text);
  sheet.text = text;
  read_title(file, sheet);
  SheetReading reading{file, sheet, {}};
  read_calorimeter(reading);
  read_conventions(reading);
  read_instruments(reading);
  read_stocks(reading);
  read_trials(reading);
  read_cycle(reading);
  check_whole(reading);
  file.refuse_other_keys();
  if (!problems.empty()) return {std::nullopt, problems.in_order()};
  return {std::move(sheet), {}};
}

SheetCheck check_sheet(const std::string& path) {
  const auto text = file_bytes(path);
  if (!text) return {std::nullopt, {text.error()}};
  return check_sheet_text(*text, path);
}

Result<Sheet> parse_sheet(const std::string& text, const std::string& path) {
  SheetCheck check = check_sheet_text(text, path);
  if (!check.sheet) return check.problems.front();
  return *std::move(check.sheet);
}

Result<Sheet> read_sheet(const std::string& path) {
  SheetCheck check = check_sheet(path);
  if (!check.sheet) return check.problems.front();
  return *std::move(check.sheet);
}

}  // namespace nestcup
