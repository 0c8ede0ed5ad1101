#include <fmt/format.h>

#include <array>

#include "core/base/time_text.hpp"
#include "core/base/uncertain_text.hpp"
#include "core/notebook/pack.hpp"
#include "core/record/quantity_json.hpp"

namespace nestcup {
namespace {

/// A number of the record that a crate shows.
struct Shown {
  const char* key;  ///< its parts by "."
  const char* name;
  const char* unit;
};

constexpr std::array<Shown, 6> shown{{
    {"corrected_rise_K", "corrected temperature rise", "K"},
    {"mixture_rise_K", "final temperature less the mean of both contents before", "K"},
    {"temperatures.cup_at_mixing_degC", "temperature of the cup at the mixing", "degC"},
    {"temperatures.added_at_mixing_degC", "temperature of what was added at the mixing", "degC"},
    {"temperatures.final_degC", "final temperature", "degC"},
    {"heat_leak.rate_per_s", "rate of the heat leak", "1/s"},
}};

Json value_at(const Json& record, std::string_view key) {
  const std::size_t dot = key.find('.');
  const auto found = record.find(std::string(key.substr(0, dot)));
  if (found == record.end()) return nullptr;
  return dot == std::string_view::npos ? *found : value_at(*found, key.substr(dot + 1));
}

std::vector<CrateMeasured> measured_of(const Json& record) {
  std::vector<CrateMeasured> measured;
  for (const Shown& number : shown) {
    const Json value = value_at(record, number.key);
    if (!value.is_object() || value.at("value").is_null()) continue;
    const Json& u = value.at("u");
    measured.push_back({number.key, number.name, value.at("value").get<double>(), number.unit,
                        u.is_null() ? std::nullopt : std::optional(u.get<double>())});
  }
  return measured;
}

std::string run_text(const Json& record, int number, const std::vector<RevisionNote>& history) {
  std::string text = fmt::format("Run {}", number);
  if (record.at("bench").is_string()) text += " of " + record["bench"].get<std::string>();
  if (record.at("sheet").is_object()) {
    text += fmt::format(", by the sheet \"{}\"", record["sheet"]["title"].get<std::string>());
  }
  const Json& rise = record.at("corrected_rise_K");
  text += rise.at("value").is_null()
              ? "; no corrected rise can be had from its readings."
              : fmt::format("; corrected temperature rise {} (standard uncertainty).",
                            uncertain_text(quantity_of(rise), "K"));
  if (record.at("status") == "struck") {
    text += " Struck out: it does not count.";
    if (!history.back().reason.empty()) text += " Reason: " + history.back().reason;
  }
  return text;
}

}  // namespace

CrateRun crate_run(const Json& record, int number, const std::vector<RevisionNote>& history) {
  const bool is_struck = record.at("status") == "struck";
  CrateRun run;
  const Json& trial = record.at("trial");
  run.name = fmt::format("run {}", number);
  if (trial.is_object()) {
    run.name = fmt::format("{} {} (run {})", trial.at("name").get<std::string>(),
                           trial.at("number").get<int>(), number);
    run.keywords.push_back(trial.at("purpose").get<std::string>());
  }
  if (is_struck) run.name += ", struck out";
  run.identifier = record.at("id").get<std::string>();
  const Json& started = record.at("started_at");
  run.date_created =
      started.is_string() ? started.get<std::string>() : rfc3339(history.front().wall_us);
  run.date_modified = rfc3339(history.back().wall_us);
  run.text = run_text(record, number, history);
  if (record.at("bench").is_string()) run.bench = record["bench"].get<std::string>();
  run.keywords.insert(run.keywords.begin(), "calorimetry");
  if (is_struck) run.keywords.emplace_back("struck out");
  run.measured = measured_of(record);
  return run;
}

}  // namespace nestcup
