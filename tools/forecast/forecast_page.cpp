#include "tools/forecast/forecast_page.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <cmath>

#include "core/base/uncertain_text.hpp"
#include "tools/cli/output.hpp"
#include "tools/cli/text_layout.hpp"

namespace nestcup::forecast {
namespace {

using cli::Align;

constexpr std::size_t page_width = 90;
constexpr std::size_t most_gains = 2;

bool is_shown(const Request& request, std::size_t trial) {
  return !request.only || *request.only == trial;
}

std::string text_of(const Measured& measured, std::string_view unit) {
  return uncertain_text({measured.value(), measured.u(), {}}, unit);
}

/// Two significant digits, never with an exponent: "0.098", "2.0", "59", "120".
std::string two_digits(double value) {
  if (!(value > 0.0)) return "0";
  const int place = static_cast<int>(std::floor(std::log10(value))) - 1;
  const double unit = std::pow(10.0, place);
  const double rounded = std::round(value / unit) * unit;
  return fmt::format("{:.{}f}", rounded, std::max(0, rounded >= 99.5 * unit ? -place - 1 : -place));
}

std::string title(int number, const std::string& text, bool colour) {
  return "\n" + cli::toned(fmt::format("Table {}. {}", number, text), cli::Tone::heading, colour) +
         "\n";
}

std::string indented(const std::string& table) {
  std::string text;
  std::size_t begin = 0;
  while (begin < table.size()) {
    const std::size_t end = table.find('\n', begin) + 1;
    text += "  " + table.substr(begin, end - begin);
    begin = end;
  }
  return text;
}

/// "MgO(s); of H+(aq) there is 2.8 times enough".
std::string limiting_text(const ExpectedTrial& expected) {
  if (expected.reaches.empty()) return "-";
  const double least = expected.reaches.front().mol.value();
  std::vector<std::string> others;
  for (std::size_t i = 1; i < expected.reaches.size(); ++i) {
    const Reach& reach = expected.reaches[i];
    others.push_back(fmt::format("{:.3g} x {}", reach.mol.value() / least, reach.species));
  }
  std::string text = expected.reaches.front().species;
  if (expected.rival) text += " or " + *expected.rival;
  return others.empty() ? text : fmt::format("{} ({})", text, fmt::join(others, ", "));
}

std::string rises_table(const Forecast& forecast, const Request& request, bool colour) {
  cli::Table table({{"trial", Align::left},
                    {"cup/degC", Align::right},
                    {"added/degC", Align::right},
                    {"final/degC", Align::right},
                    {"corrected rise", Align::right},
                    {"runs out first (others)", Align::left}});
  for (std::size_t i = 0; i < forecast.trials.size(); ++i) {
    if (!is_shown(request, i)) continue;
    const std::string& name = forecast.plan.sheet.trials[i].name;
    const Expectation& expected = forecast.rises.trials[i];
    if (!expected) {
      table.add_row({name, "", "", "", "not known", ""});
      continue;
    }
    const auto& added = expected->added_degC;
    table.add_row({name, fmt::format("{:.1f}", expected->cup_degC.value()),
                   added ? fmt::format("{:.1f}", added->value()) : "-",
                   fmt::format("{:.1f}", expected->final_degC.value()),
                   text_of(expected->rise_K, "K"), limiting_text(*expected)});
  }
  return title(1, "What each run should show", colour) + indented(table.text(colour)) +
         "  u (k = 1): how far a run may be from this forecast; (2 x S): of S there is twice "
         "enough\n";
}

std::string percent_text(const Measured& result) {
  if (result.value() == 0.0) return "";
  return two_digits(100.0 * result.u() / std::abs(result.value()));
}

/// What `nestcup results` will print, where that is another uncertainty.
std::string stated_text(const Forecast& forecast, const Request& request) {
  std::vector<std::string> others;
  const auto take = [&](const std::string& name, const Measured& result,
                        const std::optional<double>& stated, const std::string& unit) {
    if (!stated || std::abs(*stated / result.u() - 1.0) <= 0.2) return;
    others.push_back(fmt::format("{} {} {}", name, two_digits(*stated), unit));
  };
  for (std::size_t i = 0; i < forecast.trials.size(); ++i) {
    const TrialForecast& trial = forecast.trials[i];
    const SheetTrial& planned = forecast.plan.sheet.trials[i];
    if (!is_shown(request, i) || !trial.result) continue;
    take(planned.name, *trial.result, trial.u_result_stated, unit_of(planned.purpose));
  }
  if (others.empty()) return "";
  return cli::wrapped(fmt::format("nestcup results will state another u, since it does not know "
                                  "this bench: {}.",
                                  fmt::join(others, ", ")),
                      2, page_width);
}

std::string knowledge_table(const Forecast& forecast, const Request& request, bool colour) {
  cli::Table table({{"trial", Align::left},
                    {"runs", Align::right},
                    {"u(rise)/mK", Align::right},
                    {"readings", Align::right},
                    {"result", Align::right},
                    {"u/%", Align::right},
                    {"mostly from (part of u^2)", Align::left}});
  for (std::size_t i = 0; i < forecast.trials.size(); ++i) {
    const TrialForecast& trial = forecast.trials[i];
    const SheetTrial& planned = forecast.plan.sheet.trials[i];
    if (!is_shown(request, i) || !trial.result) continue;
    table.add_row({planned.name, std::to_string(planned.repeats.value_or(1)),
                   two_digits(1e3 * trial.u_rise_K), two_digits(1e3 * trial.u_readings_K),
                   text_of(*trial.result, unit_of(planned.purpose)), percent_text(*trial.result),
                   trial.mostly});
  }
  const CycleForecast& cycle = forecast.cycle;
  if (cycle.result && !request.only) {
    table.add_row({"cycle", "", "", "", text_of(*cycle.result, "kJ/mol"),
                   percent_text(*cycle.result), cycle.mostly});
  }
  return title(2, "How well it will be known (u: standard uncertainty, k = 1)", colour) +
         indented(table.text(colour)) +
         "  u(rise): of one run; readings: the part of it without the scale of the probe\n" +
         stated_text(forecast, request);
}

std::string after_table(const Forecast& forecast, const Request& request, bool colour) {
  std::vector<cli::Column> columns{{"trial", Align::left}};
  const TrialForecast* any = nullptr;
  for (const TrialForecast& trial : forecast.trials) {
    if (!trial.after.empty()) any = &trial;
  }
  if (any == nullptr) return "";
  for (const AfterPeriod& after : any->after) {
    columns.push_back({fmt::format("{:.0f} s", after.after_s), Align::right});
  }
  columns.push_back({"enough", Align::right});
  cli::Table table(columns);
  for (std::size_t i = 0; i < forecast.trials.size(); ++i) {
    const TrialForecast& trial = forecast.trials[i];
    if (!is_shown(request, i) || trial.after.empty()) continue;
    std::vector<std::string> cells{forecast.plan.sheet.trials[i].name};
    for (const AfterPeriod& after : trial.after) {
      cells.push_back(two_digits(1e3 * after.u_readings_K));
    }
    cells.push_back(trial.enough_after_s ? fmt::format("{:.0f} s", *trial.enough_after_s) : "-");
    table.add_row(std::move(cells));
  }
  return title(3, "u of one run's rise in mK, without the scale of the probe, by the after period",
               colour) +
         indented(table.text(colour)) +
         fmt::format("  Longer than \"enough\" brings the result's u down by less than {:.0f} %.\n",
                     100.0 * worth_share);
}

void add_gains(const std::string& name, const std::vector<Gain>& gains, double u,
               const std::string& unit, cli::Table& table) {
  std::string first = name;
  for (std::size_t i = 0; i < std::min(gains.size(), most_gains); ++i) {
    table.add_row({first, gains[i].lever->change, two_digits(u), two_digits(gains[i].u), unit});
    first.clear();
  }
  if (gains.empty()) table.add_row({name, "nothing by itself", two_digits(u), "", unit});
}

std::string gains_table(const Forecast& forecast, const Request& request, bool colour) {
  cli::Table table({{"trial", Align::left},
                    {"change", Align::left},
                    {"u now", Align::right},
                    {"then", Align::right},
                    {"unit", Align::left}});
  for (std::size_t i = 0; i < forecast.trials.size(); ++i) {
    const TrialForecast& trial = forecast.trials[i];
    const SheetTrial& planned = forecast.plan.sheet.trials[i];
    if (!is_shown(request, i) || !trial.result) continue;
    add_gains(planned.name, trial.gains, trial.result->u(), unit_of(planned.purpose), table);
  }
  const CycleForecast& cycle = forecast.cycle;
  if (cycle.result && !request.only) {
    add_gains("cycle", cycle.gains, cycle.result->u(), "kJ/mol", table);
  }
  return title(4, "What would pay most, one change at a time", colour) +
         indented(table.text(colour));
}

std::string section(const std::string& heading, const std::vector<std::string>& sentences,
                    bool colour) {
  if (sentences.empty()) return "";
  std::string text = "\n" + cli::toned(heading, cli::Tone::heading, colour) + "\n";
  for (const std::string& sentence : sentences) text += cli::wrapped(sentence, 2, page_width);
  return text;
}

}  // namespace

std::string unit_of(Purpose purpose) {
  switch (purpose) {
    case Purpose::heat_capacity:
      return "J/(g K)";
    case Purpose::fusion:
      return "J/g";
    case Purpose::reaction:
      return "kJ/mol";
    case Purpose::calorimeter_constant:
    case Purpose::electrical_calibration:
      break;
  }
  return "J/K";
}

std::string forecast_page(const Forecast& forecast, const Request& request, bool colour) {
  std::string text =
      cli::toned("Forecast: " + forecast.plan.sheet.title, cli::Tone::heading, colour) + "\n";
  text += rises_table(forecast, request, colour);
  text += knowledge_table(forecast, request, colour);
  text += after_table(forecast, request, colour);
  text += gains_table(forecast, request, colour);
  std::vector<std::string> look_out;
  for (const ResultNote& note : forecast.notes.all()) {
    look_out.push_back(fmt::format("{}: {}", note.trial, note.text));
  }
  text += section("To look out for", look_out, colour);
  text += section("Cautions", cautions_of(forecast), colour);
  return text + section("Taken for granted", assumed(forecast, request), colour);
}

}  // namespace nestcup::forecast
