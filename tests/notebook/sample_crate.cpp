#include "tests/notebook/sample_crate.hpp"

#include <fmt/format.h>

#include "core/notebook/csvw.hpp"

namespace nestcup {

std::vector<std::string> sample_columns() {
  return {"time_s", "cup_degC", "added_degC", "room_degC", "cup_raw_ohm"};
}

std::string sample_readings() {
  std::string text = "# an invented run\n# magnesium oxide into acid\n";
  const std::vector<std::string> columns = sample_columns();
  for (std::size_t i = 0; i < columns.size(); ++i) text += (i > 0 ? "," : "") + columns[i];
  text += '\n';
  for (int i = 0; i < 240; ++i) {
    const double cup_degC = i < 100 ? 21.25 : 29.5 - 0.001 * (i - 100);
    text += fmt::format("{}.0,{:.3f},{},20.5,{:.1f}\n", i, cup_degC, i % 10 == 0 ? "" : "21.125",
                        10000.0 - 400.0 * (cup_degC - 25.0));
  }
  return text;
}

CrateFacts sample_crate() {
  CrateFacts facts;
  facts.name = "Formation enthalpy of magnesium oxide";
  facts.description = "Two invented runs; \"quoted\", with \u00B0C, \u03B4 and \U0001F9EA in it";
  facts.date_published = "2026-11-25";
  facts.people = {{"Josiah Carberry", "0000-0002-1825-0097"}, {"Zo\u00EB M\u00FCller", ""}};
  facts.files = {{"sheet.toml", "title = \"Magnesium oxide\"\n", "application/toml", "The sheet"}};

  CsvTable table;
  table.columns = sample_columns();
  table.comment_lines = 2;
  table.title = "Readings of an invented run";
  CrateRun oxide;
  oxide.folder = "run-01a211b7-fc00";
  oxide.name = "oxide, 1st trial";
  oxide.identifier = "01a211b7-fc00-7123-8123-456789abcdef";
  oxide.date_created = "2026-11-25T08:00:00.000Z";
  oxide.date_modified = "2026-11-25T08:05:20.000Z";
  oxide.text = "Magnesium oxide into hydrochloric acid.";
  oxide.bench = "bench 4";
  oxide.keywords = {"calorimetry", "magnesium oxide"};
  const std::string readings = sample_readings();
  oxide.files = {
      {"readings.csv", readings, "text/csv", "Every reading of the run"},
      {"readings.csv-metadata.json", *csvw_metadata(table), "application/csvm+json",
       "What the columns of readings.csv are"},
      {"charts/temperature over time.svg", "<svg xmlns=\"http://www.w3.org/2000/svg\"/>\n",
       "image/svg+xml", "The temperatures over time"},
      {"notes/\u00DCbersicht #1 50%.txt", "gut\n", "text/plain", ""},
      {"empty.txt", "", "", ""}};
  oxide.measured = {{"results.corrected_rise_K", "corrected temperature rise", 8.5135, "K", 0.0017},
                    {"results.heat_leak_per_s", "heat leak", 0.000291, "1/s", 0.000012},
                    {"trial.repeat", "number of the repeat", 1.0, "", std::nullopt}};

  CrateRun metal = oxide;
  metal.folder = "run-01a211b8-0000";
  metal.name = "metal, 1st trial";
  metal.identifier.clear();
  metal.date_modified.clear();
  metal.keywords.clear();
  metal.measured.pop_back();
  metal.files = {{"readings.csv", readings, "text/csv", "Every reading of the run"}};
  facts.runs = {oxide, metal};
  return facts;
}

}  // namespace nestcup
