// What was assumed, and what became of the runs.
#include <fmt/format.h>

#include "core/report/pages/report_parts.hpp"

namespace nestcup {

namespace {

/// The note in the report's language; English is how the results have it.
std::string note_in(const ResultNote& note, const Texts& texts) {
  const std::string key = "note." + note.code + (note.wording.empty() ? "" : "-" + note.wording);
  if (texts.language() == Language::english || !texts.has(key)) return note.text;
  std::vector<TextValue> values;
  for (const auto& [name, word] : note.words) values.emplace_back(name.c_str(), word);
  return texts.fill(key, values);
}

/// Where densities and heat capacities come from.
void add_conventions(const ReportWork& work, Bullets& list) {
  const Texts& texts = work.texts;
  const auto& conventions = work.input.sheet.conventions;
  const auto say = [&](const char* key, const std::optional<double>& value) {
    if (!value) return;
    list.items.push_back(texts.fill(key, {{"value", texts.number(fmt::format("{}", *value))}}));
  };
  if (conventions) {
    say("conventions.density", conventions->density_g_per_mL);
    say("conventions.heat_capacity", conventions->heat_capacity_J_per_g_K);
  }
  const bool all =
      conventions && conventions->density_g_per_mL && conventions->heat_capacity_J_per_g_K;
  if (!all) list.items.push_back(texts["conventions.tables"]);
}

}  // namespace

void add_assumptions(const ReportWork& work) {
  const Texts& texts = work.texts;
  work.document.add(Heading{2, texts["closing.assumptions"]});
  Bullets list;
  add_conventions(work, list);
  for (const ResultNote& note : work.input.results.notes.all()) {
    const std::string severity(severity_name(note.severity));
    list.items.push_back((note.trial.empty() ? "" : note.trial + ", ") +
                         texts["severity." + severity] + ": " + note_in(note, texts));
  }
  work.document.add(std::move(list));
}

void add_history(const ReportWork& work) {
  const Texts& texts = work.texts;
  Table table;
  table.title = texts["closing.history_title"];
  table.key = "history";
  table.columns = {{texts["closing.run"], false},  {texts["closing.revision"], true},
                   {texts["closing.what"], false}, {texts["closing.reason"], false},
                   {texts["closing.who"], false},  {texts["closing.when"], false}};
  for (const ReportRun& run : work.input.runs) {
    for (const HistoryEntry& entry : run.history) {
      if (entry.revision == 1) continue;
      const std::string key = "action." + entry.action;
      table.rows.push_back({run_name(run, work), std::to_string(entry.revision),
                            texts.has(key) ? texts[key] : entry.action, entry.reason, entry.who,
                            entry.at});
    }
  }
  if (table.rows.empty()) return;
  work.document.add(Heading{2, texts["closing.history"]});
  work.document.add(std::move(table));
}

}  // namespace nestcup
