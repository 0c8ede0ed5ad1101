#include "tools/record_text.hpp"

#include <fmt/format.h>

#include "core/base/uncertain_text.hpp"

namespace nestcup {
namespace {

std::string quantity_text(const Json& quantity, std::string_view unit) {
  if (quantity.is_null() || quantity.at("value").is_null()) return "not known";
  return uncertain_text(
      {quantity.at("value").get<double>(), quantity.at("u").get<double>(), std::nullopt}, unit);
}

std::string record_line(std::string_view label, const std::string& text) {
  return fmt::format("  {:<22}{}\n", label, text);
}

std::string period_text(const Json& period) {
  const double start_s = period.at("start_s"), end_s = period.at("end_s");
  return fmt::format("{:.1f} to {:.1f} s ({:.0f} s)", start_s, end_s, end_s - start_s);
}

std::string head_text(const Json& record) {
  std::string head = fmt::format("run {}", record.at("id").get<std::string>());
  if (record.at("status") != "finished") head += " (struck out)";
  if (!record.at("trial").is_null()) {
    head += fmt::format(", trial {}, repeat {}", record["trial"].at("name").get<std::string>(),
                        record["trial"].at("number").get<int>());
  }
  if (!record.at("bench").is_null()) {
    head += ", " + record["bench"].get<std::string>();
  } else {
    head += ", from " + record.at("source").get<std::string>();
  }
  return head + "\n";
}

std::string budget_text(const Json& rise) {
  std::string text;
  for (const Json& part : rise.at("budget")) {
    text += fmt::format("    {:>8.2f} mK  {} ({})\n", 1000.0 * part.at("u").get<double>(),
                        part.at("source").get<std::string>(), part.at("type").get<std::string>());
  }
  return text;
}

}  // namespace

std::string rise_text(const Json& record) {
  return quantity_text(record.at("corrected_rise_K"), "K");
}

std::string record_text(const Json& record) {
  std::string text = head_text(record);
  if (!record.at("started_at").is_null()) {
    text += record_line("started", record["started_at"].get<std::string>());
  }
  const Json& periods = record.at("periods");
  text += record_line("foreperiod", period_text(periods.at("fore")));
  text += record_line("main period", period_text(periods.at("main")));
  text += record_line("after period", period_text(periods.at("after")));
  const Json& mixing = record.at("mixing");
  text += record_line("mixing began", quantity_text(mixing.at("time_s"), "s") + ", found by " +
                                          mixing.at("found_by").get<std::string>());
  const Json& temperatures = record.at("temperatures");
  const std::string degree =
      "\xC2\xB0"
      "C";
  text +=
      record_line("cup at mixing", quantity_text(temperatures.at("cup_at_mixing_degC"), degree));
  if (!temperatures.at("added_at_mixing_degC").is_null()) {
    text +=
        record_line("added at mixing", quantity_text(temperatures["added_at_mixing_degC"], degree));
  }
  text += record_line("final", quantity_text(temperatures.at("final_degC"), degree));
  text += record_line("heat leak", quantity_text(record.at("heat_leak").at("rate_per_s"), "per s"));
  text += record_line("corrected rise", rise_text(record) + " (u: standard uncertainty)");
  text += budget_text(record.at("corrected_rise_K"));
  if (!record.at("mixture_rise_K").is_null()) {
    text += record_line("over the mean", quantity_text(record["mixture_rise_K"], "K") +
                                             " (final, less the mean of the contents)");
  }
  for (const Json& finding : record.at("findings")) {
    text += fmt::format("  {}: {}\n", finding.at("severity").get<std::string>(),
                        finding.at("text").get<std::string>());
  }
  return text;
}

}  // namespace nestcup
