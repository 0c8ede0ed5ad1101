#include "tools/demo/page.hpp"

#include <fmt/format.h>

#include "core/report/document/html_page.hpp"
#include "core/report/words/cautions.hpp"

namespace nestcup::demo {
namespace {

std::string millikelvin(const std::optional<double>& kelvin, const Texts& texts) {
  return kelvin ? texts.number(fmt::format("{:.1f}", *kelvin * 1000.0)) : "";
}

/// One row for each mixing of the simulation.
Table truth_table(const Day& day, const Texts& texts) {
  Table table;
  table.title = texts["demo.title"];
  table.key = "truth";
  table.columns = {{texts["demo.mixing"], false}, {texts["demo.rise"], true},
                   {texts["demo.truth"], true},   {texts["demo.off"], true},
                   {texts["demo.u"], true},       {texts["demo.hand_off"], true}};
  for (const Outcome& outcome : day.outcomes) {
    const std::string name = fmt::format("{} {}", outcome.truth.trial, outcome.truth.number);
    const std::string truth = texts.number(fmt::format("{:.4f}", outcome.truth.corrected_rise_K));
    if (!outcome.off_K()) {
      table.rows.push_back({name, texts["demo.not_found"], truth, "", "", ""});
      continue;
    }
    const Json& rise = outcome.record.at("corrected_rise_K");
    table.rows.push_back({name, texts.number(fmt::format("{:.4f}", rise.at("value").get<double>())),
                          truth, millikelvin(outcome.off_K(), texts),
                          millikelvin(rise.at("u").get<double>(), texts),
                          millikelvin(outcome.hand_off_K(), texts)});
  }
  table.note = day_summary(day);
  return table;
}

}  // namespace

std::string day_page(const Day& day, const Worked& worked, std::vector<ReportRun> runs) {
  const Texts texts(Language::english);
  Document document = report_document(
      {worked.sheet, worked.results, std::move(runs), cautions(worked.sheet, texts)}, {});
  document.blocks.insert(document.blocks.begin(), Paragraph{texts["demo.opening"]});
  document.add(Heading{2, texts["demo.heading"]});
  document.add(truth_table(day, texts));
  return html_page(document);
}

}  // namespace nestcup::demo
