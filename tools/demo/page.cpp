#include "tools/demo/page.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "core/base/uncertain_text.hpp"
#include "core/report/cautions.hpp"
#include "tools/demo/results_tables.hpp"

namespace nestcup::demo {
namespace {

constexpr std::string_view head_to_title = R"html(<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
)html";

constexpr std::string_view head_from_style = R"html(<style>
body { font: 1rem/1.5 serif; color: #1c1b19; background: #fdfcf9; max-width: 52rem;
       margin: 2rem auto; padding: 0 1rem; }
table { border-collapse: collapse; margin: 1rem 0; }
caption { text-align: left; font-weight: bold; padding: 0.4rem 0; }
th, td { padding: 0.25rem 0.8rem; text-align: right; border-bottom: 1px solid #b9b3a6; }
th:first-child, td:first-child { text-align: left; }
.wide { overflow-x: auto; }
figure { margin: 2rem 0; }
img { width: 100%; height: auto; }
</style>
</head>
<body>
)html";

std::string opening(const Sheet& sheet) {
  const std::string title = "Demo day: " + escaped(sheet.title);
  std::vector<std::string> trials;
  for (const SheetTrial& trial : sheet.trials) trials.push_back(escaped(trial.name));
  const std::string warnings =
      escaped(fmt::format("{}", fmt::join(cautions(sheet, Texts(Language::english)), " ")));
  return fmt::format(
      "{}<title>{}</title>\n{}<h1>{}</h1>\n<p>A simulated bench; its trials are {}. Every number "
      "below comes from the daemon's records of that day and from its sheet.</p>\n<p>At a real "
      "bench: {}</p>\n",
      head_to_title, title, head_from_style, title, fmt::join(trials, ", "), warnings);
}

std::string path_in_url(const std::string& path) {
  std::string out;
  for (const char c : path) out += c == ' ' ? std::string("%20") : std::string(1, c);
  return out;
}

std::string millikelvin(const std::optional<double>& kelvin) {
  return kelvin ? fmt::format("{:+.1f}", *kelvin * 1000.0) : "-";
}

std::string rise(const Outcome& outcome) {
  if (!outcome.off_K()) return "not found";
  const Json& json = outcome.record.at("corrected_rise_K");
  return uncertain_text({json.at("value").get<double>(), json.at("u").get<double>(), std::nullopt},
                        "");
}

/// One row for each mixing of the simulation.
std::string rises_table(const Day& day) {
  std::string table =
      "<div class=\"wide\"><table>\n<caption>Table 1. Corrected temperature rises beside the "
      "simulation's truth (u: standard uncertainty)</caption>\n<tr><th>trial</th>"
      "<th>corrected rise &plusmn; u / K</th><th>truth / K</th><th>off by / mK</th>"
      "<th>by hand, off by / mK</th></tr>\n";
  for (const Outcome& outcome : day.outcomes) {
    table += fmt::format(
        "<tr><td>{} {}</td><td>{}</td><td>{:.4f}</td><td>{}</td><td>{}</td></tr>\n",
        outcome.truth.trial, outcome.truth.number, rise(outcome), outcome.truth.corrected_rise_K,
        millikelvin(outcome.off_K()), millikelvin(outcome.hand_off_K()));
  }
  return table + "</table></div>\n<p>" + day_summary(day) + "</p>\n";
}

}  // namespace

std::string day_page(const Day& day, const Worked& worked, const std::vector<Figure>& figures) {
  std::string page = opening(worked.sheet) + rises_table(day) + results_tables(worked, 2);
  int number = 0;
  for (const Figure& figure : figures) {
    const Mixing& mixing = figure.outcome.truth;
    page += fmt::format(
        "<figure><img src=\"{}\" alt=\"Temperature of the cup against time, trial "
        "{} {}\"><figcaption>Figure {}. Trial {} {}: readings, periods, both "
        "courses to the equal-area time, and the corrected rise.</figcaption>"
        "</figure>\n",
        path_in_url(figure.path), mixing.trial, mixing.number, ++number, mixing.trial,
        mixing.number);
  }
  return page + "</body>\n</html>\n";
}

}  // namespace nestcup::demo
