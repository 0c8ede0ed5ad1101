// The command line of nestcup-sim: files written, exit codes, what is said.
#include <nlohmann/json.hpp>

#include "sim/simulate.hpp"
#include "tests/catch.hpp"
#include "tests/sim/sim_process.hpp"

using namespace nestcup;
using namespace nestcup::sim;

namespace {

const std::string one_trial = std::string(NESTCUP_SOURCE_DIR) + "/sim/scenarios/one-trial.toml";

struct Outcome {
  std::optional<int> exit_code;
  std::string output;
  std::string errors;
};

Outcome run_sim(const TestFolder& folder, const std::vector<std::string>& arguments) {
  SimProcess process(arguments, folder.path("out"));
  const std::optional<int> code = process.exit_code();
  return {code, content_of(folder.path("out")), content_of(folder.path("out.err"))};
}

}  // namespace

TEST_CASE("a trace and its truth are written at once") {
  const TestFolder folder;
  const Outcome outcome =
      run_sim(folder, {"--scenario", one_trial, "--trace", folder.path("trace.csv"), "--truth",
                       folder.path("truth.json"), "--seed", "42"});
  CHECK(outcome.exit_code == 0);
  CHECK(outcome.output.empty());
  CHECK(outcome.errors.find("seed 42") != std::string::npos);
  const auto scenario = read_scenario(one_trial);
  REQUIRE(scenario.ok());
  const SimulatedRun run = simulate(*scenario, 42);
  CHECK(content_of(folder.path("trace.csv")) == trace_csv(run));
  const auto truth = nlohmann::json::parse(content_of(folder.path("truth.json")));
  CHECK(truth["seed"] == 42);
  CHECK(truth["started_wall_us"].is_null());
  CHECK(truth["mixings"][0]["corrected_rise_K"] == run.truth.at(0).corrected_rise_K);
}

TEST_CASE("without --seed the scenario's seed counts, and - is standard output") {
  const TestFolder folder;
  const Outcome outcome = run_sim(folder, {"--scenario", one_trial, "--trace", "-"});
  CHECK(outcome.exit_code == 0);
  const auto scenario = read_scenario(one_trial);
  REQUIRE(scenario.ok());
  CHECK(outcome.output == trace_csv(simulate(*scenario, scenario->seed)));
}

TEST_CASE("help and version go to standard output") {
  const TestFolder folder;
  const Outcome help = run_sim(folder, {"--help"});
  CHECK(help.exit_code == 0);
  CHECK(help.output.find("--wait-open") != std::string::npos);
  CHECK(help.output.find("--capture FILE") != std::string::npos);
  CHECK(help.output.find("wrong-baud: for for_s, ") != std::string::npos);
  const Outcome version = run_sim(folder, {"--version"});
  CHECK(version.exit_code == 0);
  CHECK(version.output.substr(0, 12) == "nestcup-sim ");
}

TEST_CASE("wrong calls, missing and bad files have their exit codes") {
  const TestFolder folder;
  const std::string trace = folder.path("trace.csv");
  CHECK(run_sim(folder, {}).exit_code == 64);
  CHECK(run_sim(folder, {"--scenario", one_trial}).exit_code == 64);
  CHECK(run_sim(folder, {"--scenario", one_trial, "--trace", trace, "--link", "x"}).exit_code ==
        64);
  CHECK(run_sim(folder, {"--scenario", one_trial, "--trace", trace, "--speed", "0"}).exit_code ==
        64);
  CHECK(run_sim(folder, {"--scenario", one_trial, "--trace", trace, "--seed", "-1"}).exit_code ==
        64);
  CHECK(run_sim(folder, {"--scenario", one_trial, "--trase", trace}).exit_code == 64);
  CHECK(run_sim(folder, {"--scenario", "/nowhere.toml", "--trace", trace}).exit_code == 66);
  CHECK(run_sim(folder, {"--scenario", one_trial, "--trace", "/nowhere/t.csv"}).exit_code == 73);
  const std::string bad = folder.file("bad.toml", "[scenario]\nname = 3\n");
  const Outcome outcome = run_sim(folder, {"--scenario", bad, "--trace", trace});
  CHECK(outcome.exit_code == 78);
  CHECK(outcome.errors.find(bad + ":2: scenario.name") != std::string::npos);
}

TEST_CASE("captures: wrong calls, missing and bad files") {
  const TestFolder folder;
  const std::string good = folder.file("good", "# nestcup-capture 1\n0 < 41\n");
  const std::string bad = folder.file("bad", "# nestcup-capture 1\n0 < 4\n");
  const std::string link = folder.path("port");
  CHECK(run_sim(folder, {"--capture", good}).exit_code == 64);
  CHECK(run_sim(folder, {"--capture", good, "--link", link, "--seed", "1"}).exit_code == 64);
  CHECK(run_sim(folder, {"--capture", good, "--scenario", one_trial, "--link", link}).exit_code ==
        64);
  CHECK(run_sim(folder, {"--capture", good, "--trace", link}).exit_code == 64);
  CHECK(run_sim(folder, {"--capture", "/nowhere", "--link", link}).exit_code == 66);
  const Outcome outcome = run_sim(folder, {"--capture", bad, "--link", link});
  CHECK(outcome.exit_code == 65);
  CHECK(outcome.errors.find(bad + ":2: expected bytes") != std::string::npos);
}

TEST_CASE("a link does not replace somebody's file") {
  const TestFolder folder;
  const std::string taken = folder.file("port", "precious");
  const Outcome outcome = run_sim(folder, {"--scenario", one_trial, "--link", taken});
  CHECK(outcome.exit_code == 73);
  CHECK(outcome.errors.find(taken) != std::string::npos);
  CHECK(content_of(taken) == "precious");
}
