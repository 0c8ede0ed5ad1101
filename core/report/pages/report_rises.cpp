// Corrected rises: what each run came to, where its uncertainty comes from, what the usual line by
// hand would have given, and what was found.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "core/report/pages/report_parts.hpp"
#include "core/report/words/record_words.hpp"

namespace nestcup {

namespace {

constexpr double to_mK = 1000.0;

std::string millikelvin(double kelvin, const Texts& texts) {
  return texts.number(fmt::format("{:.1f}", kelvin * to_mK));
}

/// Words of a record in the report's language, where the catalogue has them.
std::string in_language(const std::string& section, const std::string& words, const Texts& texts) {
  const std::string key = section + text_name(words);
  return texts.has(key) ? texts[key] : words;
}

/// What is to be said of a run's rise beside the numbers.
std::string remark(const ReportRun& run, bool same_method, const Texts& texts) {
  if (is_struck(run)) return texts["rises.struck"];
  if (!has_rise(run)) return texts["rises.unusable"];
  if (same_method) return "";
  return method_in(run.record.at("corrected_rise_K").at("method"), texts);
}

Table rises_table(const ReportWork& work) {
  const Texts& texts = work.texts;
  Table table;
  table.title = texts["rises.title"];
  table.key = "corrected-rises";
  table.columns = {{texts["rises.run"], false},   {texts["rises.cup"], true},
                   {texts["rises.added"], true},  {texts["rises.rise"], true},
                   {texts["rises.u"], true},      {texts["rises.final"], true},
                   {texts["rises.remark"], false}};
  std::set<std::string> methods;
  for (const ReportRun& run : work.input.runs) {
    if (has_rise(run)) methods.insert(run.record.at("corrected_rise_K").at("method"));
  }
  const bool same_method = methods.size() == 1;
  for (const ReportRun& run : work.input.runs) {
    const Json& degC = run.record.at("temperatures");
    const auto [rise, u] = value_and_u(run.record.at("corrected_rise_K"), texts);
    table.rows.push_back(
        {run_name(run, work), value_and_u(degC.at("cup_at_mixing_degC"), texts).first,
         value_and_u(degC.at("added_at_mixing_degC"), texts).first, rise, u,
         value_and_u(degC.at("final_degC"), texts).first, remark(run, same_method, texts)});
  }
  table.note = texts["rises.note"];
  if (same_method) {
    table.note +=
        " " + texts.fill("rises.method", {{"method", method_in(*methods.begin(), texts)}});
  }
  return table;
}

Table budgets_table(const ReportWork& work) {
  const Texts& texts = work.texts;
  Table table;
  table.title = texts["rises.budget_title"];
  table.key = "budgets-of-rises";
  table.columns = {{texts["rises.source"], false}};
  std::vector<std::string> sources;
  std::vector<const ReportRun*> runs;
  for (const ReportRun& run : work.input.runs) {
    if (!has_rise(run)) continue;
    runs.push_back(&run);
    table.columns.push_back({run_name(run, work), true});
    for (const Json& line : run.record.at("corrected_rise_K").at("budget")) {
      const std::string source = line.at("source");
      if (std::find(sources.begin(), sources.end(), source) == sources.end()) {
        sources.push_back(source);
      }
    }
  }
  for (const std::string& source : sources) {
    std::vector<Cell> row{in_language("rise_source.", source, texts)};
    for (const ReportRun* run : runs) {
      std::string u;
      for (const Json& line : run->record.at("corrected_rise_K").at("budget")) {
        if (line.at("source") == source) u = millikelvin(line.at("u"), texts);
      }
      row.emplace_back(u);
    }
    table.rows.push_back(std::move(row));
  }
  std::vector<Cell> together{texts["rises.budget_sum"]};
  for (const ReportRun* run : runs) {
    together.emplace_back(millikelvin(run->record.at("corrected_rise_K").at("u"), texts));
  }
  table.rows.push_back(std::move(together));
  return table;
}

/// What a straight line through the readings from 20 to 180 s, carried back to the mixing, is off
/// by where the temperature really decays exponentially: -(1/2) k^2 D (m^2 - w^2/12), with D the
/// distance from the rest temperature, m the middle of the window and w its width. Series of the
/// least-squares line about the window's middle; only the curvature matters.
std::optional<double> bend_K(const Json& record) {
  constexpr double middle_s = 100.0, width_s = 160.0;
  const Json& leak = record.at("heat_leak");
  const Json& rate = leak.at("rate_per_s").at("value");
  const Json& rest = leak.at("rest_degC").at("value");
  const Json& final_degC = record.at("temperatures").at("final_degC").at("value");
  if (rate.is_null() || rest.is_null() || final_degC.is_null()) return std::nullopt;
  const double k = rate.get<double>();
  return -0.5 * k * k * (final_degC.get<double>() - rest.get<double>()) *
         (middle_s * middle_s - width_s * width_s / 12.0);
}

/// What rounding to 0.1 degree brings into a rise by hand (k = 1): nine readings from 20 to 180 s
/// on the line, and one before the mixing; a rounded reading has u = 0.1 K / sqrt(12).
double hand_rounding_u_K() {
  const double reading_u_K = 0.1 / std::sqrt(12.0);
  double squares_s2 = 0.0;
  for (int i = 1; i <= 9; ++i) squares_s2 += (20.0 * i - 100.0) * (20.0 * i - 100.0);
  return reading_u_K * std::sqrt(1.0 + 1.0 / 9.0 + 100.0 * 100.0 / squares_s2);
}

Table hand_table(const ReportWork& work) {
  const Texts& texts = work.texts;
  Table table;
  table.title = texts["rises.hand_title"];
  table.key = "rises-by-hand";
  table.columns = {{texts["rises.run"], false}, {texts["rises.rise"], true},
                   {texts["rises.hand"], true}, {texts["rises.apart"], true},
                   {texts["rises.bend"], true}, {texts["rises.rounding"], true}};
  for (const ReportRun& run : work.input.runs) {
    if (!has_rise(run) || !run.hand_K) continue;
    const double rise_K = run.record.at("corrected_rise_K").at("value");
    const auto bend = bend_K(run.record);
    table.rows.push_back(
        {run_name(run, work), texts.number(fmt::format("{:.4f}", rise_K)),
         texts.number(fmt::format("{:.4f}", *run.hand_K)), millikelvin(*run.hand_K - rise_K, texts),
         bend ? millikelvin(*bend, texts) : "", millikelvin(hand_rounding_u_K(), texts)});
  }
  table.note = texts["rises.hand_note"];
  return table;
}

void add_findings(const ReportWork& work) {
  Bullets list;
  for (const ReportRun& run : work.input.runs) {
    for (const Json& finding : run.record.at("findings")) {
      const std::string severity = finding.at("severity");
      list.items.push_back(fmt::format("{}, {}: {}", run_name(run, work),
                                       work.texts["severity." + severity],
                                       finding_in(finding, work.texts)));
    }
  }
  work.document.add(Heading{3, work.texts["rises.findings"]});
  if (list.items.empty()) {
    work.document.add(Paragraph{work.texts["rises.no_findings"]});
  } else {
    work.document.add(std::move(list));
  }
}

void add_charts(const ReportWork& work) {
  for (const ReportRun& run : work.input.runs) {
    if (!run.chart) continue;
    add_figure(work, *run.chart, work.texts.fill("rises.chart", {{"run", run_name(run, work)}}));
  }
}

}  // namespace

void add_rises(const ReportWork& work) {
  if (work.input.runs.empty()) return;
  work.document.add(Heading{2, work.texts["rises.heading"]});
  work.document.add(rises_table(work));
  Table budgets = budgets_table(work);
  if (budgets.columns.size() > 1) work.document.add(std::move(budgets));
  Table by_hand = hand_table(work);
  if (!by_hand.rows.empty()) work.document.add(std::move(by_hand));
  add_charts(work);
  add_findings(work);
}

}  // namespace nestcup
