// No route tells a caller from elsewhere what came out while results are hidden.
#include <algorithm>

#include "core/record/run_record.hpp"
#include "tests/catch.hpp"
#include "tests/daemon/quiet_bench.hpp"

using namespace nestcup;
using namespace nestcup::daemon;

namespace {

const std::string lone_run = "/v1/runs/1";

const Peer at_the_machine{0, 1, "teacher"};

/// Every answer that may carry an outcome: what changes a run answers with its record.
struct Asked {
  const char* method;
  std::string target;
  std::string body;
};
const std::vector<Asked>& asked() {
  static const std::vector<Asked> all{{"GET", "/v1/runs", ""},
                                      {"GET", lone_run, ""},
                                      {"GET", "/v1/sheet", ""},
                                      {"GET", "/v1/results", ""},
                                      {"GET", "/v1/status", ""},
                                      {"GET", lone_run + "/history", ""},
                                      {"GET", lone_run + "/chart.svg", ""},
                                      {"GET", "/v1/report", ""},
                                      {"POST", lone_run + "/strike", R"({"reason": "spilt"})"},
                                      {"POST", lone_run + "/restore", R"({"reason": "not spilt"})"},
                                      {"POST", lone_run + "/assign", R"({"trial": "none"})"}};
  return all;
}

/// The digits of the run's rise as they stand in JSON, and what a chart says before it tells it.
std::vector<std::string> rise_words(QuietBench& rig) {
  const auto run = Json::parse(rig.ask("GET", lone_run, "", at_the_machine).body);
  const double rise_K = run.at("record").at("corrected_rise_K").at("value").get<double>();
  REQUIRE(rise_K > 1.0);
  return {Json(rise_K).dump(), "Corrected temperature rise"};
}

bool tells(const std::string& body, const std::vector<std::string>& words) {
  return std::any_of(words.begin(), words.end(),
                     [&](const std::string& word) { return body.find(word) != std::string::npos; });
}

}  // namespace

TEST_CASE("while results are hidden, no route tells the rise to a caller without a peer") {
  QuietBench rig;
  const auto words = rise_words(rig);
  rig.bench().hide_results(true);
  for (const Asked& one : asked()) {
    INFO(one.method << " " << one.target);
    const Response response = rig.ask(one.method, one.target, one.body, std::nullopt);
    CHECK(response.status == (one.target == "/v1/report" ? 403 : 200));
    CHECK_FALSE(tells(response.body, words));
  }
}

TEST_CASE("at the machine, and where nothing is hidden, the rise is told") {
  QuietBench rig;
  const auto words = rise_words(rig);
  for (const bool hidden : {true, false}) {
    rig.bench().hide_results(hidden);
    const std::optional<Peer> peer = hidden ? std::optional(at_the_machine) : std::nullopt;
    for (const char* target : {"/v1/runs", "/v1/runs/1", "/v1/sheet", "/v1/runs/1/chart.svg"}) {
      INFO(target);
      CHECK(tells(rig.ask("GET", target, "", peer).body, words));
    }
    CHECK(rig.ask("GET", "/v1/report", "", peer).status == 200);
    CHECK_FALSE(Json::parse(rig.ask("GET", "/v1/results", "", peer).body).contains("hidden"));
  }
}

TEST_CASE("results are hidden and shown at the machine alone") {
  QuietBench rig;
  const std::string body = R"({"hidden": true})";
  CHECK(rig.ask("POST", "/v1/results/hidden", body, std::nullopt).status == 403);
  CHECK_FALSE(rig.bench().results_hidden());
  CHECK(rig.ask("POST", "/v1/results/hidden", body, at_the_machine).status == 200);
  CHECK(rig.bench().results_hidden());
  CHECK(Json::parse(rig.ask("GET", "/v1/status", "", std::nullopt).body).at("results_hidden") ==
        true);
}
