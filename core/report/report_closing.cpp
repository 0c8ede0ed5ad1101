// What was assumed, and what became of the runs.
#include <fmt/format.h>

#include "core/report/report_parts.hpp"

namespace nestcup {

void add_assumptions(const ReportWork& work) {
  const Texts& texts = work.texts;
  work.document.add(Heading{2, texts["closing.assumptions"]});
  Bullets list;
  list.items.push_back(work.input.results.conventions);
  for (const ResultNote& note : work.input.results.notes.all()) {
    const std::string severity(severity_name(note.severity));
    list.items.push_back((note.trial.empty() ? "" : note.trial + ", ") +
                         texts["severity." + severity] + ": " + note.text);
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
      table.rows.push_back({run_title(run), std::to_string(entry.revision),
                            texts.has(key) ? texts[key] : entry.action, entry.reason, entry.who,
                            entry.at});
    }
  }
  if (table.rows.empty()) return;
  work.document.add(Heading{2, texts["closing.history"]});
  work.document.add(std::move(table));
}

}  // namespace nestcup
