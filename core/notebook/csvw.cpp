#include "core/notebook/csvw.hpp"

#include <fmt/format.h>

#include <nlohmann/json.hpp>
#include <optional>
#include <set>
#include <string_view>

#include "core/base/canonical_json.hpp"
#include "core/base/reading.hpp"
#include "core/notebook/bundle.hpp"
#include "core/notebook/crate_checks.hpp"
#include "core/notebook/unit_code.hpp"

namespace nestcup {

using Json = nlohmann::ordered_json;

namespace {

struct ColumnMeaning {
  std::string about;
  std::string unit;
};

std::string_view place_of(ProbeRole role) {
  switch (role) {
    case ProbeRole::cup:
      return "in the cup";
    case ProbeRole::added:
      return "in what is added";
    case ProbeRole::room:
      return "in the air of the room";
    case ProbeRole::other:
      return "elsewhere";
  }
  return {};
}

std::optional<ColumnMeaning> meaning_of(std::string_view column) {
  if (column == "time_s") {
    return ColumnMeaning{"Time of the row, in seconds since the start of the run", "s"};
  }
  const std::size_t end = column.find('_');
  const auto role = role_from_name(column.substr(0, end));
  if (!role || end == std::string_view::npos) return std::nullopt;
  const std::string_view rest = column.substr(end + 1);
  if (rest == "degC") {
    return ColumnMeaning{fmt::format("Temperature {}, in degrees Celsius, as calibrated; an empty "
                                     "cell is no reading",
                                     place_of(*role)),
                         "degC"};
  }
  constexpr std::string_view raw = "raw_";
  if (rest.substr(0, raw.size()) != raw || rest.size() == raw.size()) return std::nullopt;
  const std::string unit(rest.substr(raw.size()));
  return ColumnMeaning{fmt::format("What the probe {} sent, in {}, before any conversion or "
                                   "calibration",
                                   place_of(*role), unit),
                       unit};
}

Json column_json(const std::string& name, const ColumnMeaning& meaning) {
  Json column = {{"name", name},
                 {"titles", name},
                 {"dc:description", meaning.about},
                 {"datatype", "double"},
                 {"required", name == "time_s"},
                 {"null", ""},
                 {"schema:unitText", meaning.unit}};
  const std::string_view code = ucum_code(meaning.unit);
  if (!code.empty()) column["schema:unitCode"] = fmt::format("UCUM:{}", code);
  return column;
}

/// CSVW, section 5.9. The parser of the "Model for Tabular Data" (section 8) counts a comment that
/// comes where the header is expected as a row of it, hence those lines are skipped (and still
/// taken as comments).
Json dialect_json(const CsvTable& table) {
  return {{"encoding", "utf-8"},
          {"lineTerminators", Json::array({table.line_end})},
          {"commentPrefix", "#"},
          {"skipRows", table.comment_lines},
          {"header", true},
          {"headerRowCount", 1},
          {"delimiter", ","},
          {"quoteChar", "\""},
          {"doubleQuote", true},
          {"skipBlankRows", false},
          {"skipInitialSpace", false},
          {"trim", false}};
}

}  // namespace

Result<std::string> csvw_metadata(const CsvTable& table) {
  const auto fault = [&](const std::string& what) {
    return Error{Fault::bad_data, fmt::format("{}: {}", table.url, what)};
  };
  if (auto good = check_bundle_path(table.url); !good) return good.error();
  if (table.columns.empty() || table.columns.front() != "time_s") {
    return fault("its first column is expected to be time_s");
  }
  Json columns = Json::array();
  std::set<std::string> names;
  for (const std::string& name : table.columns) {
    const std::optional<ColumnMeaning> meaning = meaning_of(name);
    if (!meaning) {
      return fault(
          fmt::format("\"{}\" is no column of readings; expected time_s, cup_degC or "
                      "cup_raw_ohm, or such of added or room",
                      name));
    }
    if (!names.insert(name).second) return fault(fmt::format("the column {} is twice", name));
    columns.push_back(column_json(name, *meaning));
  }
  Json document = {
      {"@context", Json::array({"http://www.w3.org/ns/csvw", Json{{"@language", "en"}}})},
      {"url", path_reference(table.url)}};
  if (!table.title.empty()) document["dc:title"] = table.title;
  document["dialect"] = dialect_json(table);
  document["tableSchema"] = {{"columns", std::move(columns)}, {"primaryKey", "time_s"}};
  if (auto sound = canonical_json(document); !sound) return fault(sound.error().text);
  return document.dump(2) + "\n";
}

}  // namespace nestcup
