// Each finding is provoked by a bench that deserves it.
#include "core/analysis/run/findings.hpp"

#include <algorithm>
#include <cmath>
#include <fstream>
#include <set>

#include "tests/analysis/provoked.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

constexpr std::uint64_t seeds = 3;

void check_values(const Finding& finding, const std::vector<WantedValue>& wanted) {
  for (const auto& [name, value] : finding.values) CHECK(std::isfinite(value));
  for (const WantedValue& want : wanted) {
    const auto at = std::find_if(finding.values.begin(), finding.values.end(),
                                 [&](const auto& value) { return value.first == want.name; });
    INFO(want.name << " from " << want.low << " to " << want.high);
    REQUIRE(at != finding.values.end());
    CHECK(at->second >= want.low);
    CHECK(at->second <= want.high);
  }
}

void check_text(const Finding& finding) {
  const std::string text = finding_text(finding);
  INFO(text);
  CHECK(text != finding.code);
  CHECK(text.find('{') == std::string::npos);
  CHECK(text.back() == '.');
}

}  // namespace

TEST_CASE("what goes wrong on the bench is found, with its values, and nothing that is not there") {
  for (const Provoked& bench : provoked_findings()) {
    for (std::uint64_t seed = 1; seed <= seeds; ++seed) {
      INFO(bench.code << ": " << bench.what << ", seed " << seed);
      const auto runs = analyses_of(bench.scenario, seed, bench.hand, {}, bench.known);
      REQUIRE_FALSE(runs.empty());
      const Finding* finding = finding_in(runs.front(), bench.code);
      REQUIRE(finding != nullptr);
      check_values(*finding, bench.values);
      check_text(*finding);
      CHECK(runs.front().usable() == (finding->severity != Severity::unusable));
      for (const Finding& other : runs.front().findings) {
        INFO("also " << other.code);
        const bool allowed =
            std::find(bench.others.begin(), bench.others.end(), other.code) != bench.others.end();
        CHECK((allowed || other.code == bench.code));
      }
    }
  }
}

TEST_CASE("every finding of the catalogue has a bench that provokes it") {
  std::set<std::string> provoked;
  for (const Provoked& bench : provoked_findings()) provoked.insert(bench.code);
  const std::vector<std::string> codes = finding_codes();
  CHECK(provoked == std::set<std::string>(codes.begin(), codes.end()));
}

TEST_CASE("a mark near the onset is taken, one far from it is not") {
  const auto marked = analyses_of(warm_water(), 1, marking(99.4));
  REQUIRE(marked.size() == 1);
  CHECK(marked[0].found_by == FoundBy::mark);
  CHECK(marked[0].mixing_time_s.value == 99.4);
  CHECK(marked[0].findings.empty());
  for (const double mark_s : {50.0, 130.0}) {
    const auto contradicted = analyses_of(warm_water(), 1, marking(mark_s));
    INFO("mark at " << mark_s);
    REQUIRE(contradicted.size() == 1);
    CHECK(contradicted[0].found_by == FoundBy::detector);
    CHECK_THAT(contradicted[0].mixing_time_s.value, WithinAbs(100.0, 1.5));
    CHECK(finding_in(contradicted[0], "mark-contradicts-trace") != nullptr);
  }
}

TEST_CASE("a calibration that is young, or none at all, is no finding") {
  const auto young = [](RunInput& input) { input.calibration_age = CalibrationAge{364.9, 365.0}; };
  for (const Knowledge& known : {Knowledge(young), Knowledge()}) {
    const auto runs = analyses_of(warm_water(), 1, {}, {}, known);
    REQUIRE(runs.size() == 1);
    CHECK(runs[0].findings.empty());
  }
}

TEST_CASE("an unknown code is its own text") {
  CHECK(finding_text({"no-such-code", Severity::note, {}}) == "no-such-code");
  CHECK(severity_name(Severity::unusable) == "unusable");
}

TEST_CASE("a run without any reading is unusable, not a crash") {
  const RunAnalysis run = analyse_run({});
  CHECK_FALSE(run.usable());
  CHECK(finding_in(run, "no-foreperiod") != nullptr);
}

TEST_CASE("the page for the bench explains every finding, and no other") {
  std::ifstream page(NESTCUP_SOURCE_DIR "/daemon/BENCH.md");
  std::vector<std::string> explained;
  for (std::string line; std::getline(page, line);) {
    if (!line.starts_with("| `")) continue;
    explained.push_back(line.substr(3, line.find('`', 3) - 3));
  }
  std::vector<std::string> codes = finding_codes();
  std::sort(codes.begin(), codes.end());
  std::sort(explained.begin(), explained.end());
  CHECK(explained == codes);
}
