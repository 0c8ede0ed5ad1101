#include "core/notebook/csvw.hpp"

#include <nlohmann/json.hpp>

#include "tests/catch.hpp"
#include "tests/notebook/sample_crate.hpp"

using namespace nestcup;
using Json = nlohmann::ordered_json;

namespace {

CsvTable sample_table() {
  CsvTable table;
  table.columns = sample_columns();
  table.comment_lines = 2;
  return table;
}

std::string csvw_refusal(const std::vector<std::string>& columns) {
  CsvTable table;
  table.columns = columns;
  const auto text = csvw_metadata(table);
  if (text) return "was taken";
  CHECK(text.error().kind == Fault::bad_data);
  return text.error().text;
}

}  // namespace

TEST_CASE("CSVW: context, URL, columns in order, and titles as in the header") {
  const Json document = Json::parse(*csvw_metadata(sample_table()));
  // Section 5.2: the context alone, or with the language.
  CHECK(document.at("@context").at(0) == "http://www.w3.org/ns/csvw");
  CHECK(document.at("url") == "readings.csv");
  const Json& schema = document.at("tableSchema");
  std::vector<std::string> titles;
  for (const Json& column : schema.at("columns")) {
    titles.push_back(column.at("titles").get<std::string>());
    CHECK(column.at("name") == column.at("titles"));
    CHECK(column.at("datatype") == "double");
    CHECK(column.at("required") == (column.at("name") == "time_s"));
    CHECK_FALSE(column.at("dc:description").get<std::string>().empty());
  }
  CHECK(titles == sample_columns());
  CHECK(schema.at("primaryKey") == "time_s");
}

TEST_CASE("CSVW: the dialect says how many comments come before the header, and how lines end") {
  const Json dialect = Json::parse(*csvw_metadata(sample_table())).at("dialect");
  CHECK(dialect.at("commentPrefix") == "#");
  CHECK(dialect.at("skipRows") == 2);
  CHECK(dialect.at("headerRowCount") == 1);
  CHECK(dialect.at("lineTerminators") == Json::array({"\n"}));
}

TEST_CASE("CSVW: each column says its unit") {
  CsvTable table;
  table.columns = {"time_s", "cup_degC", "cup_raw_uV", "room_raw_count"};
  const Json document = Json::parse(*csvw_metadata(table));
  const Json& columns = document.at("tableSchema").at("columns");
  CHECK(columns.at(0).at("schema:unitCode") == "UCUM:s");
  CHECK(columns.at(1).at("schema:unitCode") == "UCUM:Cel");
  CHECK(columns.at(2).at("schema:unitText") == "uV");
  CHECK(columns.at(2).at("schema:unitCode") == "UCUM:uV");
  CHECK(columns.at(3).at("schema:unitText") == "count");
  CHECK_FALSE(columns.at(3).contains("schema:unitCode"));
  CHECK_THAT(columns.at(2).at("dc:description").get<std::string>(),
             ContainsSubstring("the probe in the cup sent, in uV"));
}

TEST_CASE("CSVW: columns that are none of readings are refused") {
  CHECK(csvw_refusal({"time_s", "cup_degC"}) == "was taken");
  CHECK_THAT(csvw_refusal({}), ContainsSubstring("first column is expected to be time_s"));
  CHECK_THAT(csvw_refusal({"cup_degC", "time_s"}), ContainsSubstring("first column"));
  CHECK_THAT(csvw_refusal({"time_s", "cup_degC", "cup_degC"}), ContainsSubstring("is twice"));
  for (const char* wrong : {"lid_degC", "cup", "cup_degF", "cup_raw_", "_cup", "", "degC"}) {
    CHECK_THAT(csvw_refusal({"time_s", wrong}), ContainsSubstring("is no column of readings"));
  }
}
