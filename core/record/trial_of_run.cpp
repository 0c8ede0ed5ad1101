#include "core/record/trial_of_run.hpp"

#include <fmt/format.h>

#include "core/record/mixture_rise.hpp"
#include "core/record/seal.hpp"
#include "core/record/stored_run.hpp"

namespace nestcup {

namespace {

std::optional<GivenRun> given_run(const Json& record, const Sheet& sheet) {
  const Json& its_sheet = record.at("sheet");
  const Json& trial = record.at("trial");
  if (its_sheet.is_null() || trial.is_null() || its_sheet.at("title") != sheet.title) {
    return std::nullopt;
  }
  return GivenRun{
      trial.at("name").get<std::string>(), trial.at("number").get<int>(),
      record.at("status") == "struck" || record.at("corrected_rise_K").at("value").is_null()};
}

}  // namespace

Json sheet_facts(const Sheet& sheet) {
  return {{"title", sheet.title}, {"sha256", sheet.sha256}};
}

Json trial_facts(const SheetTrial& trial, int number) {
  return {{"name", trial.name}, {"number", number}, {"purpose", purpose_text(trial.purpose)}};
}

Result<std::vector<GivenRun>> given_runs(const RunBook& book, const Sheet& sheet) {
  const auto runs = book.runs();
  if (!runs) return runs.error();
  std::vector<GivenRun> given;
  for (const StoredRun& run : *runs) {
    try {
      const auto one = given_run(Json::parse(run.record_json), sheet);
      if (one) given.push_back(*one);
    } catch (const Json::exception& problem) {
      return unreadable_record(book.name(), run.number, problem);
    }
  }
  return given;
}

void give_to_trial(Json& record, const Sheet& sheet, const SheetTrial& trial, int number) {
  record["sheet"] = sheet_facts(sheet);
  record["trial"] = trial_facts(trial, number);
  record["mixture_rise_K"] = mixture_rise_json(record, sheet, trial);
  seal(record);
}

void give_to_none(Json& record) {
  record["trial"] = nullptr;
  record["mixture_rise_K"] = nullptr;
  seal(record);
}

StoredSheet stored_sheet(const Sheet& sheet, TimeUs now_us) {
  return {sheet.sha256, sheet.title, sheet.text, now_us};
}

Result<std::optional<StoredSheet>> kept_sheet(const RunBook& book, const Json& record) {
  const Json& named = record.at("sheet");
  if (named.is_null()) return std::optional<StoredSheet>{};
  auto sheet = book.find_sheet(named.at("sha256").get<std::string>());
  if (sheet) return std::optional<StoredSheet>(std::move(sheet).value());
  if (sheet.error().kind == Fault::no_input) return std::optional<StoredSheet>{};
  return sheet.error();
}

}  // namespace nestcup
