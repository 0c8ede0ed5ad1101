// Readings: raw as they came, and at even times after the mixing.
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <optional>

#include "core/report/pages/report_parts.hpp"

namespace nestcup {

namespace {

constexpr std::size_t most_runs_a_table = 8;

using Series = std::vector<ChartPoint>;

/// One time with what the probes showed then.
struct RawRow {
  double time_s = 0.0;
  std::optional<double> cup_degC, added_degC;
};

/// Both series by time; readings of one moment stand together.
std::vector<RawRow> raw_rows(const ReportRun& run) {
  std::map<double, RawRow> rows;
  for (const ChartPoint& point : run.cup) rows[point.time_s].cup_degC = point.temperature_degC;
  for (const ChartPoint& point : run.added) rows[point.time_s].added_degC = point.temperature_degC;
  std::vector<RawRow> sorted;
  for (auto& [time_s, row] : rows) {
    row.time_s = time_s;
    sorted.push_back(row);
  }
  return sorted;
}

std::string degrees(const std::optional<double>& degC, const Texts& texts) {
  return degC ? texts.number(fmt::format("{:.3f}", *degC)) : "";
}

/// Read downwards, in groups side by side, so that a run takes few pages.
Table raw_table(const ReportRun& run, const ReportWork& work) {
  const Texts& texts = work.texts;
  const std::vector<RawRow> rows = raw_rows(run);
  const bool both = !run.added.empty();
  const std::size_t groups_across = both ? 3 : 4;
  Table table;
  table.title = texts.fill("readings.raw_title", {{"run", run_name(run, work)}});
  table.key = "raw-readings-" + run_title(run);
  table.is_long = true;
  const std::size_t length = (rows.size() + groups_across - 1) / groups_across;
  for (std::size_t group = 0; group < groups_across; ++group) {
    table.columns.push_back({texts["readings.time"], true});
    table.columns.push_back({texts["readings.cup"], true});
    if (both) table.columns.push_back({texts["readings.added"], true});
  }
  for (std::size_t line = 0; line < length; ++line) {
    std::vector<Cell> cells;
    for (std::size_t group = 0; group < groups_across; ++group) {
      const std::size_t at = group * length + line;
      const RawRow row = at < rows.size() ? rows[at] : RawRow{};
      cells.emplace_back(at < rows.size() ? texts.number(fmt::format("{:.2f}", row.time_s)) : "");
      cells.emplace_back(degrees(row.cup_degC, texts));
      if (both) cells.emplace_back(degrees(row.added_degC, texts));
    }
    table.rows.push_back(std::move(cells));
  }
  return table;
}

/// Readings at even times after the mixing, a run a column.
Table timed_table(const std::vector<const ReportRun*>& runs, int number, const ReportWork& work) {
  const Texts& texts = work.texts;
  Table table;
  table.title = texts["readings.timed_title"];
  table.key = fmt::format("timed-readings-{}", number);
  table.columns = {{texts["readings.after_mixing"], true}};
  std::map<double, std::vector<std::string>> rows;
  for (std::size_t i = 0; i < runs.size(); ++i) {
    table.columns.push_back({run_name(*runs[i], work), true});
    for (const Json& reading : runs[i]->record.at("timed_readings")) {
      auto& row = rows[reading.at("after_mixing_s").get<double>()];
      row.resize(runs.size());
      row[i] = texts.number(fmt::format("{:.3f}", reading.at("cup_degC").get<double>()));
    }
  }
  for (const auto& [after_s, values] : rows) {
    std::vector<Cell> cells{texts.number(fmt::format("{}", after_s))};
    for (const std::string& value : values) cells.emplace_back(value);
    table.rows.push_back(std::move(cells));
  }
  table.note = texts["readings.timed_note"];
  return table;
}

}  // namespace

void add_readings(const ReportWork& work) {
  const auto& runs = work.input.runs;
  if (runs.empty()) return;
  work.document.add(Heading{2, work.texts["readings.heading"]});
  bool raw = false;
  for (const ReportRun& run : runs) {
    if (run.cup.empty()) continue;
    work.document.add(raw_table(run, work));
    raw = true;
  }
  if (raw) work.document.add(Paragraph{work.texts["readings.raw_note"]});
  std::vector<const ReportRun*> together;
  int number = 0;
  for (const ReportRun& run : runs) {
    if (!run.record.at("timed_readings").empty()) together.push_back(&run);
    const bool is_last = &run == &runs.back();
    if (together.empty() || (together.size() < most_runs_a_table && !is_last)) continue;
    work.document.add(timed_table(together, ++number, work));
    together.clear();
  }
}

}  // namespace nestcup
