#include "core/record/export_facts.hpp"

#include <algorithm>

#include "core/base/time_text.hpp"

namespace nestcup {

namespace {

/// The trial as a record may carry it; throws where it is something else, as what is read here may
/// come from anywhere.
Json sound_trial(const Json& trial) {
  if (trial.is_null()) return nullptr;
  return {{"name", trial.at("name").get<std::string>()},
          {"number", trial.at("number").get<int>()},
          {"purpose", trial.at("purpose").get<std::string>()}};
}

}  // namespace

std::string export_comment(const Json& record, const std::string& sheet_text) {
  Json facts;
  for (const char* key : {"source", "bench", "sheet", "trial", "started_at", "clock_synchronised",
                          "probes", "after_period_wanted_s", "heater"}) {
    facts[key] = record.at(key);
  }
  facts["mark_s"] = record.at("mixing").at("mark_s");
  facts["marked_by_switch"] = record.at("mixing").value("marked_by_switch", false);
  const Json& findings = record.at("findings");
  facts["cut_short"] = std::any_of(findings.begin(), findings.end(), [](const Json& finding) {
    return finding.at("code") == "cut-short";
  });
  if (!sheet_text.empty()) facts["sheet_text"] = sheet_text;
  return "# nestcup-run: " + facts.dump() + "\n";
}

std::optional<ExportFacts> export_facts(const std::vector<std::string>& comments) {
  constexpr std::string_view lead = "nestcup-run: ";
  for (const std::string& comment : comments) {
    if (!comment.starts_with(lead)) continue;
    try {
      const Json json = Json::parse(comment.substr(lead.size()));
      ExportFacts facts;
      facts.context.source = json.at("source").get<std::string>();
      if (json.at("bench").is_string()) facts.context.bench = json["bench"].get<std::string>();
      facts.context.sheet = json.at("sheet");
      facts.context.trial = sound_trial(json.at("trial"));
      facts.context.probes = json.at("probes");
      if (json.at("started_at").is_string()) {
        facts.context.started_wall_us = parse_rfc3339(json["started_at"].get<std::string>());
      }
      if (json.at("clock_synchronised").is_boolean()) {
        facts.context.clock_synchronised = json["clock_synchronised"].get<bool>();
      }
      facts.after_period_s = json.at("after_period_wanted_s").get<double>();
      if (json.at("mark_s").is_number()) facts.mark_s = json["mark_s"].get<double>();
      if (json.value("marked_by_switch", false)) facts.marked_by = FoundBy::line_signal;
      facts.cut_by_next = json.at("cut_short").get<bool>();
      facts.heater = json.at("heater").get<bool>();
      facts.sheet_text = json.value("sheet_text", "");
      return facts;
    } catch (const nlohmann::json::exception&) {
      return std::nullopt;
    }
  }
  return std::nullopt;
}

}  // namespace nestcup
