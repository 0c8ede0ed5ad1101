#include "core/report/pages/report.hpp"

#include <cctype>

#include "core/base/uncertain_text.hpp"
#include "core/report/pages/report_parts.hpp"
#include "core/working/sheet_steps.hpp"

namespace nestcup {

Document report_document(const ReportInput& input, const ReportOptions& options) {
  Document document;
  document.language = options.language;
  document.title = input.sheet.title;
  const Working working = working_of(input.sheet, input.results);
  const ReportWork work{input, options, working, Texts(options.language), document};
  add_head(work);
  add_readings(work);
  add_rises(work);
  add_working(work);
  add_results(work);
  add_assumptions(work);
  add_history(work);
  return document;
}

namespace {

std::pair<std::string, std::string> split(const Uncertain& quantity, const Texts& texts) {
  constexpr std::string_view between = " \xC2\xB1 ";
  const std::string both = texts.number(uncertain_text(quantity, ""));
  const std::size_t at = both.find(between);
  if (at == std::string::npos) return {both, ""};
  return {both.substr(0, at), both.substr(at + between.size())};
}

}  // namespace

std::pair<std::string, std::string> value_and_u(const Measured& value, const Texts& texts) {
  return split({value.value(), value.u(), std::nullopt}, texts);
}

std::pair<std::string, std::string> value_and_u(const Json& quantity, const Texts& texts) {
  if (quantity.is_null() || quantity.at("value").is_null()) return {"", ""};
  return split({quantity.at("value").get<double>(), quantity.at("u").get<double>(), std::nullopt},
               texts);
}

std::string run_title(const ReportRun& run) {
  const Json& trial = run.record.at("trial");
  if (trial.is_null()) return run.name;
  return trial.at("name").get<std::string>() + " " + std::to_string(trial.at("number").get<int>());
}

std::string run_name(const ReportRun& run, const ReportWork& work) {
  return is_struck(run) ? work.texts.fill("rises.struck_run", {{"run", run_title(run)}})
                        : run_title(run);
}

bool is_struck(const ReportRun& run) {
  return run.record.at("status") == "struck";
}

bool has_rise(const ReportRun& run) {
  return !run.record.at("corrected_rise_K").at("value").is_null();
}

std::string text_name(std::string_view words) {
  std::string name;
  for (const char c : words) {
    if (std::isalnum(static_cast<unsigned char>(c)) != 0) {
      name += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    } else if (!name.empty() && name.back() != '_') {
      name += '_';
    }
  }
  return name;
}

Cell result_cell(const std::string& text, const ReportWork& work) {
  Cell cell(text);
  cell.is_blank = work.options.without_results;
  return cell;
}

}  // namespace nestcup
