#include "daemon/api/sheet_answer.hpp"

#include <fmt/format.h>

#include <map>

#include "core/record/stored_run.hpp"
#include "core/record/trial_of_run.hpp"
#include "core/sheet/amounts.hpp"
#include "core/sheet/toml_section.hpp"
#include "daemon/base/or_null.hpp"
#include "daemon/bench/next_trial.hpp"

namespace nestcup::daemon {
namespace {

using Json = nlohmann::ordered_json;

Json amounts_json(const Sheet& sheet, const SheetTrial& trial) {
  Json list = Json::array();
  for (const SheetAmount& amount : amounts_of(sheet, trial)) {
    list.push_back({{"part", amount.part},
                    {"key", amount.key},
                    {"value", or_null(amount.value)},
                    {"u_key", text_or_null(amount.u_key)},
                    {"u", or_null(amount.u)},
                    {"u_from", text_or_null(amount.u_from)}});
  }
  return list;
}

Json findings_json(const Json& record) {
  Json list = Json::array();
  for (const Json& finding : record.at("findings")) {
    list.push_back({{"code", finding.at("code")},
                    {"severity", finding.at("severity")},
                    {"text", finding.at("text")}});
  }
  return list;
}

Json run_json(const StoredRun& run, const Json& record, bool hidden) {
  const Json& rise = record.at("corrected_rise_K");
  Json json{{"number", run.number},
            {"id", run.id},
            {"revision", run.revision},
            {"status", run.status},
            {"repeat", record.at("trial").at("number")},
            {"mixed_at", record.at("mixed_at")},
            {"corrected_rise_K", nullptr},
            {"findings", findings_json(record)}};
  if (hidden) {
    json["hidden"] = true;
  } else if (!rise.at("value").is_null()) {
    json["corrected_rise_K"] = {{"value", rise.at("value")}, {"u", rise.at("u")}};
  }
  return json;
}

/// The runs of each trial of the sheet, by its name.
Result<std::map<std::string, Json>> runs_by_trial(const Sheet& sheet, const RunBook& book,
                                                  bool hidden) {
  std::map<std::string, Json> by_trial;
  const auto read = book.each_run([&](const StoredRun& run) -> Result<void> {
    try {
      const Json record = Json::parse(run.record_json);
      const Json &its_sheet = record.at("sheet"), &trial = record.at("trial");
      if (its_sheet.is_null() || trial.is_null() || its_sheet.at("title") != sheet.title) return {};
      by_trial[trial.at("name").get<std::string>()].push_back(run_json(run, record, hidden));
    } catch (const Json::exception& problem) {
      return unreadable_record(book.name(), run.number, problem);
    }
    return {};
  });
  if (!read) return read.error();
  return by_trial;
}

Json file_changed(const Sheet& sheet) {
  const auto text = file_bytes(sheet.path);
  return text ? Json(*text != sheet.text) : Json(nullptr);
}

}  // namespace

Result<Json> sheet_answer(const TrialState& state, const RunBook& book, bool hidden) {
  if (!state.sheet) return Json(nullptr);
  const Sheet& sheet = *state.sheet;
  auto runs = runs_by_trial(sheet, book, hidden);
  if (!runs) return runs.error();
  Json json = sheet_facts(sheet);
  json["file_changed"] = file_changed(sheet);
  json["next_trial"] = next_trial_json(state);
  json["trials"] = Json::array();
  for (const SheetTrial& trial : sheet.trials) {
    const auto done = runs->find(trial.name);
    json["trials"].push_back(
        {{"name", trial.name},
         {"purpose", purpose_text(trial.purpose)},
         {"equation", trial.equation ? Json(trial.equation->text) : Json(nullptr)},
         {"repeats", trial.repeats.value_or(1)},
         {"typed_runs", trial.typed.size()},
         {"amounts", amounts_json(sheet, trial)},
         {"runs", done == runs->end() ? Json::array() : std::move(done->second)}});
  }
  return json;
}

}  // namespace nestcup::daemon
