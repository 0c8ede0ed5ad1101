// What an export's comment carries and brings back.
#include <algorithm>

#include "core/record/export_facts.hpp"
#include "core/record/trace_file.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

Json record() {
  return Json{
      {"source", "bench"},
      {"bench", "bench-4"},
      {"sheet", {{"title", "MgO, \"warm\" # day\n2"}, {"sha256", "00"}}},
      {"trial", {{"name", "oxide"}, {"number", 2}, {"purpose", "reaction"}}},
      {"started_at", "2026-11-25T08:00:00.125Z"},
      {"clock_synchronised", true},
      {"probes",
       Json::array({probe_json({"cup", ProbeRole::cup, "board", "text", std::nullopt, 0.2})})},
      {"after_period_wanted_s", 120.0},
      {"heater", true},
      {"mixing", {{"mark_s", 61.25}}},
      {"findings", Json::array({{{"code", "cut-short"}}})}};
}

/// The comment as the trace reader hands it on.
std::vector<std::string> comments_of(const Json& json) {
  const std::string text = export_comment(json) + "time_s,cup_degC\n0,21\n";
  const auto trace = parse_trace(text, "readings.csv");
  REQUIRE(trace);
  return trace->comments;
}

}  // namespace

TEST_CASE("the export's comment brings back what it was made from") {
  const auto facts = export_facts(comments_of(record()));
  REQUIRE(facts);
  CHECK(facts->context.source == "bench");
  CHECK(facts->context.bench == "bench-4");
  CHECK(facts->context.sheet == record()["sheet"]);
  CHECK(facts->context.trial == record()["trial"]);
  CHECK(facts->context.probes == record()["probes"]);
  CHECK(facts->context.started_wall_us == 1'795'593'600'125'000);
  CHECK(facts->context.clock_synchronised == true);
  CHECK(facts->after_period_s == 120.0);
  CHECK(facts->mark_s == 61.25);
  CHECK(facts->cut_by_next);
  CHECK(facts->heater);
}

TEST_CASE("what a record does not know its export does not know") {
  Json json = record();
  for (const char* key : {"bench", "sheet", "trial", "started_at", "clock_synchronised"}) {
    json[key] = nullptr;
  }
  json["mixing"]["mark_s"] = nullptr;
  json["findings"] = Json::array();
  const auto facts = export_facts(comments_of(json));
  REQUIRE(facts);
  CHECK_FALSE(facts->context.bench);
  CHECK(facts->context.sheet.is_null());
  CHECK(facts->context.trial.is_null());
  CHECK_FALSE(facts->context.started_wall_us);
  CHECK_FALSE(facts->context.clock_synchronised);
  CHECK_FALSE(facts->mark_s);
  CHECK_FALSE(facts->cut_by_next);
}

TEST_CASE("the comment stays one line") {
  const std::string comment = export_comment(record());
  CHECK(std::count(comment.begin(), comment.end(), '\n') == 1);
  CHECK(comment.front() == '#');
}

TEST_CASE("the comment carries the sheet byte for byte, and none where none is known") {
  const std::string sheet = "[sheet]\r\ntitle = \"25 \xC2\xB0\\u0043\" # \t\n";
  const auto trace = parse_trace(export_comment(record(), sheet) + "time_s,cup_degC\n0,21\n", "a");
  REQUIRE(trace);
  const auto facts = export_facts(trace->comments);
  REQUIRE(facts);
  CHECK(facts->sheet_text == sheet);
  CHECK(export_facts(comments_of(record()))->sheet_text.empty());
}

TEST_CASE("a trial that is none makes a comment a damaged one") {
  for (const auto& [key, value] : {std::pair<const char*, Json>{"name", 5},
                                   {"number", "x"},
                                   {"number", nullptr},
                                   {"purpose", Json::array()}}) {
    Json json = record();
    json["trial"][key] = value;
    CHECK_FALSE(export_facts(comments_of(json)));
  }
  Json json = record();
  json["trial"] = "oxide";
  CHECK_FALSE(export_facts(comments_of(json)));
}

TEST_CASE("damaged or foreign comments carry no facts") {
  CHECK_FALSE(export_facts({}));
  CHECK_FALSE(export_facts({"made by hand"}));
  CHECK_FALSE(export_facts({"nestcup-run: {\"source\":"}));
  CHECK_FALSE(export_facts({"nestcup-run: {\"source\":\"bench\"}"}));
  CHECK_FALSE(export_facts({"nestcup-run: [1, 2]"}));
  std::string comment = comments_of(record()).front();
  comment.replace(comment.find("120.0"), 5, "\"x\"");
  CHECK_FALSE(export_facts({comment}));
}
