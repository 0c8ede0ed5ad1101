#include "core/report/pages/run_page.hpp"

#include <fmt/format.h>

#include "core/base/uncertain_text.hpp"
#include "core/record/quantity_json.hpp"
#include "core/report/pages/report_parts.hpp"
#include "core/report/words/record_words.hpp"

namespace nestcup {

namespace {

class RunPage {
 public:
  RunPage(const ReportRun& run, Language language) : run_(run), texts_(language) {
    document_.language = language;
  }

  Document made() {
    document_.title = texts_.fill("run_page.title", {{"run", run_title(run_)}});
    if (is_struck(run_)) document_.add(Paragraph{texts_["run_page.struck"]});
    document_.add(facts());
    if (run_.chart) add_chart();
    document_.add(timed());
    document_.add(Heading{2, texts_["rises.findings"]});
    add_findings();
    document_.add(history());
    document_.add(Heading{2, texts_["run_page.notes"]});
    document_.add(Paragraph{texts_["run_page.notes_kept"]});
    return std::move(document_);
  }

 private:
  [[nodiscard]] std::string text_at(const char* key) const {
    const Json& value = run_.record.at(key);
    return value.is_string() ? value.get<std::string>() : "";
  }

  [[nodiscard]] std::string with_u(const Json& quantity, const char* unit) const {
    if (quantity.is_null() || quantity.at("value").is_null()) return texts_["run_page.not_known"];
    return texts_.number(uncertain_text(quantity_of(quantity), unit));
  }

  [[nodiscard]] Table facts() const {
    const Json& degC = run_.record.at("temperatures");
    const Json& rise = run_.record.at("corrected_rise_K");
    Table table;
    table.title = texts_["run_page.facts"];
    table.columns = {{texts_["run_page.what"], false}, {texts_["run_page.value"], false}};
    const auto add = [&](const char* key, std::string value) {
      if (!value.empty()) table.rows.push_back({texts_[key], std::move(value)});
    };
    add("run_page.rise", with_u(rise, "K"));
    if (has_rise(run_)) add("run_page.method", method_in(rise.at("method"), texts_));
    if (!run_.record.at("mixture_rise_K").is_null()) {
      add("run_page.mixture_rise", with_u(run_.record["mixture_rise_K"], "K"));
    }
    add("run_page.cup", with_u(degC.at("cup_at_mixing_degC"), unit_degC));
    if (!degC.at("added_at_mixing_degC").is_null()) {
      add("run_page.added", with_u(degC["added_at_mixing_degC"], unit_degC));
    }
    add("run_page.final", with_u(degC.at("final_degC"), unit_degC));
    add("run_page.bench", text_at("bench"));
    add("run_page.mixed_at", text_at("mixed_at"));
    if (!run_.record.at("sheet").is_null()) {
      add("run_page.sheet", run_.record["sheet"].at("title").get<std::string>());
    }
    const Json& readings = run_.record.at("readings");
    add("run_page.readings", fmt::format("{}", readings.at("count").get<std::size_t>()));
    add("run_page.readings_sha256", readings.at("sha256").get<std::string>());
    return table;
  }

  void add_chart() {
    const auto page = chart_page(*run_.chart);
    if (!page) return;
    auto svg = page_svg(*page);
    if (!svg) return;
    document_.add(Figure{texts_.fill("rises.chart", {{"run", run_title(run_)}}), page->description,
                         std::move(*svg)});
  }

  [[nodiscard]] Table timed() const {
    Table table;
    table.title = texts_["readings.timed_title"];
    table.columns = {{texts_["readings.after_mixing"], true}, {texts_["readings.cup"], true}};
    for (const Json& reading : run_.record.at("timed_readings")) {
      const auto after_s = reading.at("after_mixing_s").get<double>();
      const auto cup_degC = reading.at("cup_degC").get<double>();
      table.rows.push_back({texts_.number(fmt::format("{}", after_s)),
                            texts_.number(fmt::format("{:.3f}", cup_degC))});
    }
    return table;
  }

  void add_findings() {
    Bullets list;
    for (const Json& finding : run_.record.at("findings")) {
      const std::string severity = finding.at("severity");
      list.items.push_back(texts_["severity." + severity] + ": " + finding_in(finding, texts_));
    }
    if (list.items.empty()) {
      document_.add(Paragraph{texts_["run_page.no_findings"]});
    } else {
      document_.add(std::move(list));
    }
  }

  [[nodiscard]] Table history() const {
    Table table;
    table.title = texts_["run_page.history"];
    table.columns = {{texts_["closing.revision"], true},
                     {texts_["closing.what"], false},
                     {texts_["closing.reason"], false},
                     {texts_["closing.who"], false},
                     {texts_["closing.when"], false}};
    for (const HistoryEntry& entry : run_.history) {
      const std::string action = "action." + entry.action;
      table.rows.push_back({std::to_string(entry.revision),
                            texts_.has(action) ? texts_[action] : entry.action, entry.reason,
                            entry.who, entry.at});
    }
    return table;
  }

  const ReportRun& run_;
  Texts texts_;
  Document document_;
};

}  // namespace

Document run_page(const ReportRun& run, Language language) {
  return RunPage(run, language).made();
}

}  // namespace nestcup
