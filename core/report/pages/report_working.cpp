// Every step from rises to results, a line each, with the numbers put in.
#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "core/report/pages/report_parts.hpp"
#include "core/report/words/step_text.hpp"
#include "core/report/words/symbol_text.hpp"

namespace nestcup {

namespace {

using Parts = std::vector<const WorkingPart*>;

constexpr std::size_t most_workings_a_table = 4;

/// A number, or free space where it is for the reader to work out.
Cell number_cell(const ReportWork& work, StepId id) {
  const Step& step = work.working[id];
  Cell cell(step_number(step, work.texts));
  cell.is_blank = work.options.without_results &&
                  (step.origin == Origin::derived || step.origin == Origin::weights ||
                   step.origin == Origin::budget);
  return cell;
}

/// The line of one step: the same step of each part side by side.
std::vector<Cell> step_row(const ReportWork& work, const Parts& parts, StepId offset) {
  const StepId first = parts.front()->first + offset;
  const Step& step = work.working[first];
  std::vector<Cell> row{Cell(step_title(step, work.texts), step_formula(work.working, first))};
  row.push_back(work.options.without_results && !step.expression.empty()
                    ? Cell()
                    : Cell(step_numbers(work.working, first, work.texts)));
  for (const WorkingPart* part : parts) row.push_back(number_cell(work, part->first + offset));
  row.emplace_back(unit_text(step.unit));
  return row;
}

std::string value_head(const ReportWork& work, const WorkingPart& part) {
  if (part.kind != WorkingPart::Kind::run) return work.texts["working.value"];
  return work.texts.fill("working.run", {{"number", std::to_string(part.run_number)}});
}

/// @param parts  alike step by step
void add_table(const ReportWork& work, const Parts& parts, const std::string& title,
               const std::string& key) {
  Table table;
  table.title = title;
  table.key = key;
  table.columns = {
      {work.texts["working.quantity"], false},
      {parts.size() > 1 ? work.texts.fill("working.numbers_of_run",
                                          {{"number", std::to_string(parts.front()->run_number)}})
                        : work.texts["working.numbers"],
       false}};
  for (const WorkingPart* part : parts) table.columns.push_back({value_head(work, *part), true});
  table.columns.push_back({work.texts["working.unit"], false});
  for (StepId offset = 0; parts.front()->first + offset < parts.front()->end; ++offset) {
    table.rows.push_back(step_row(work, parts, offset));
  }
  if (!table.rows.empty()) work.document.add(std::move(table));
}

/// Whether two runs were worked out by the same steps.
bool alike(const Working& working, const WorkingPart& a, const WorkingPart& b) {
  if (a.end - a.first != b.end - b.first) return false;
  for (StepId offset = 0; a.first + offset < a.end; ++offset) {
    const Step& one = working[a.first + offset];
    const Step& other = working[b.first + offset];
    if (one.what != other.what || one.symbol != other.symbol ||
        one.expression != other.expression || one.origin != other.origin) {
      return false;
    }
  }
  return true;
}

/// The runs of a trial, as many to a table as are alike and have room.
std::vector<Parts> tables_of_runs(const Working& working, const std::string& trial) {
  std::vector<Parts> tables;
  for (const WorkingPart& part : working.parts()) {
    if (part.kind != WorkingPart::Kind::run || part.trial != trial) continue;
    const bool joins = !tables.empty() && tables.back().size() < most_workings_a_table &&
                       alike(working, *tables.back().front(), part);
    if (!joins) tables.emplace_back();
    tables.back().push_back(&part);
  }
  return tables;
}

void add_runs(const ReportWork& work, const std::string& trial) {
  const auto tables = tables_of_runs(work.working, trial);
  for (std::size_t i = 0; i < tables.size(); ++i) {
    const std::string key =
        fmt::format("working-{}{}", trial, tables.size() > 1 ? fmt::format("-{}", i + 1) : "");
    add_table(work, tables[i], work.texts.fill("working.runs_title", {{"trial", trial}}), key);
  }
}

/// Title and key of what is no run.
std::pair<std::string, std::string> naming(const ReportWork& work, const WorkingPart& part) {
  switch (part.kind) {
    case WorkingPart::Kind::repeats:
      return {work.texts.fill("working.mean_title", {{"trial", part.trial}}), "mean-" + part.trial};
    case WorkingPart::Kind::constant:
      return {work.texts["working.constant_title"], "constant"};
    case WorkingPart::Kind::cycle:
      return {work.texts["working.cycle_title"], "cycle"};
    case WorkingPart::Kind::comparison:
    case WorkingPart::Kind::run:
      break;
  }
  if (part.trial.empty()) return {work.texts["working.compared_cycle_title"], "comparison-cycle"};
  return {work.texts.fill("working.compared_title", {{"trial", part.trial}}),
          "comparison-" + part.trial};
}

void add_heading(const ReportWork& work, const WorkingPart& part) {
  std::string text;
  if (part.kind == WorkingPart::Kind::constant) {
    text = work.texts["working.constant_heading"];
  } else if (part.kind == WorkingPart::Kind::cycle) {
    text = work.texts["working.cycle_heading"];
  } else {
    text = work.texts.fill("working.trial_heading", {{"trial", part.trial}});
  }
  work.document.add(Heading{3, std::move(text)});
  const SheetTrial* const trial = work.input.sheet.find(part.trial);
  if (trial != nullptr && trial->equation) {
    work.document.add(Paragraph{chemistry_text(trial->equation->text)});
  }
}

}  // namespace

void add_working(const ReportWork& work) {
  const auto& parts = work.working.parts();
  if (parts.empty()) return;
  work.document.add(Heading{2, work.texts["working.heading"]});
  work.document.add(Paragraph{work.texts["working.legend"]});
  std::string trial;
  for (const WorkingPart& part : parts) {
    // Comparisons come after the results, where a reader looks for them.
    if (part.kind == WorkingPart::Kind::comparison) continue;
    const bool is_trial = !part.trial.empty();
    if (!is_trial || part.trial != trial) {
      if (part.first < part.end) add_heading(work, part);
      if (is_trial) add_runs(work, part.trial);
      trial = part.trial;
    }
    if (part.kind == WorkingPart::Kind::run) continue;
    const auto [title, key] = naming(work, part);
    add_table(work, {&part}, title, key);
  }
}

void add_comparison_steps(const ReportWork& work) {
  if (work.options.without_results) return;
  for (const WorkingPart& part : work.working.parts()) {
    if (part.kind != WorkingPart::Kind::comparison) continue;
    const auto [title, key] = naming(work, part);
    add_table(work, {&part}, title, key);
  }
}

}  // namespace nestcup
