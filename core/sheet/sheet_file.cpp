#include "core/sheet/sheet_file.hpp"

#include <algorithm>

#include "core/base/digest.hpp"
#include "core/sheet/sheet_parts.hpp"

namespace nestcup {

namespace {

void read_title(TomlSection& file, Sheet& sheet) {
  auto section = file.table("sheet");
  if (section) {
    sheet.title = section->required_text("title", "what the day is about, in a few words");
    section->refuse_other_keys();
  } else if (!file.has("sheet")) {
    file.problem("[sheet] is missing, expected at least its title");
  }
}

void read_trials(TomlSection& file, const SheetNames& names, Sheet& sheet) {
  std::vector<std::string> taken;
  for (TomlSection& section : file.tables("trial")) {
    sheet.trials.push_back(read_trial(section, names));
    take_name(section, sheet.trials.back().name, taken);
  }
}

}  // namespace

const SheetTrial* Sheet::find(const std::string& name) const {
  const auto found = std::find_if(trials.begin(), trials.end(),
                                  [&](const SheetTrial& trial) { return trial.name == name; });
  return found == trials.end() ? nullptr : &*found;
}

Result<Sheet> parse_sheet(const std::string& text, const std::string& path) {
  ProblemList problems(path, Fault::bad_data);
  const auto tables = parse_toml(text, problems);
  if (!tables) return problems.in_order().front();
  TomlSection file(*tables, "", problems);
  Sheet sheet;
  sheet.path = path;
  sheet.sha256 = sha256_hex(text);
  read_title(file, sheet);
  read_calorimeter(file, sheet);
  read_trials(file, read_names(file), sheet);
  check_cycle(file, sheet);
  check_conventions(file);
  file.refuse_other_keys();
  if (!problems.empty()) return problems.in_order().front();
  return sheet;
}

Result<Sheet> read_sheet(const std::string& path) {
  const auto text = file_bytes(path);
  if (!text) return text.error();
  return parse_sheet(*text, path);
}

}  // namespace nestcup
