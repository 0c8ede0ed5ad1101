// Each finding is provoked by a run that deserves it, and a clean run has none.
#include "core/analysis/findings.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "core/analysis/run_analysis.hpp"
#include "tests/analysis/newton_cup.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

NewtonCup clean_cup() {
  NewtonCup cup;
  cup.releases = {{6.0, 3.0}};
  cup.lag_s = 3.0;
  cup.mixing_s = 90.0;
  cup.end_s = 320.0;
  return cup;
}

RunInput input_of(const NewtonCup& cup, double sd_K = 0.008) {
  RunInput input;
  input.cup = with_noise(newton_curve(cup), sd_K, 0.01, 12);
  input.onset_hint_s = cup.mixing_s + 1.5;
  return input;
}

void drop(RunInput& input, double from_s, double to_s) {
  std::erase_if(input.cup,
                [&](const Point& point) { return point.time_s > from_s && point.time_s < to_s; });
}

/// A probe that comes from warmer water half a minute into the foreperiod's record.
RunInput unsteady() {
  NewtonCup cup = clean_cup();
  cup.mixing_s = 150.0;
  cup.end_s = 380.0;
  RunInput input = input_of(cup);
  for (Point& point : input.cup) point.temperature_degC += 15.0 * std::exp(-point.time_s / 8.0);
  return input;
}

/// The runs that deserve a finding, by its code.
RunInput deserving(const std::string& code) {
  NewtonCup cup = clean_cup();
  RunInput input = input_of(cup);
  if (code == "no-foreperiod") drop(input, -1.0, 92.0);
  if (code == "no-after-period") drop(input, 93.0, 1e9);
  if (code == "short-foreperiod") drop(input, -1.0, 60.0);
  if (code == "foreperiod-not-steady") return unsteady();
  if (code == "short-after-period") drop(input, 200.0, 1e9);
  if (code == "never-settled") drop(input, 100.0, 1e9);
  if (code == "mixing-slow") {
    cup.releases = {{6.0, 35.0}};
    cup.end_s = 600.0;
    return input_of(cup);
  }
  if (code == "gap-at-mixing") drop(input, 88.0, 99.0);
  if (code == "gap") drop(input, 200.0, 215.0);
  if (code == "knocks") {
    for (const std::size_t i : {60U, 61U, 250U, 400U}) input.cup[i].temperature_degC += 0.5;
  }
  if (code == "probe-slow") {
    cup.lag_s = 20.0;
    cup.releases = {{6.0, 20.0}};
    return input_of(cup);
  }
  if (code == "model-does-not-fit") {
    for (Point& point : input.cup) {
      if (point.time_s > 100.0) point.temperature_degC += 0.1 * std::sin(point.time_s / 4.0);
    }
  }
  if (code == "room-changed") {
    for (const Point& point : input.cup) input.room.push_back({point.time_s, 23.0});
    for (Point& point : input.room) point.temperature_degC += 0.004 * point.time_s;
  }
  if (code == "rise-small") {
    cup.releases = {{0.03, 3.0}};
    return input_of(cup, 0.03);
  }
  if (code == "leak-unusual") {
    cup.rate_per_s = cup.after_rate_per_s = 3e-3;
    return input_of(cup);
  }
  if (code == "mark-contradicts-trace") input.mark_s = 40.0;
  if (code == "cut-short") input.cut_by_next = true;
  return input;
}

bool has(const RunAnalysis& run, const std::string& code) {
  return std::any_of(run.findings.begin(), run.findings.end(),
                     [&](const Finding& finding) { return finding.code == code; });
}

}  // namespace

TEST_CASE("a clean run has no finding") {
  const RunAnalysis run = analyse_run(input_of(clean_cup()));
  CHECK(run.findings.empty());
  CHECK(run.usable());
  CHECK_THAT(run.rise.value_K, WithinAbs(6.0, 3.0 * run.rise.u_K));
}

TEST_CASE("every finding of the catalogue is provoked, in plain words with its values") {
  for (const std::string& code : finding_codes()) {
    INFO(code);
    const RunAnalysis run = analyse_run(deserving(code));
    REQUIRE(has(run, code));
    const auto finding =
        std::find_if(run.findings.begin(), run.findings.end(),
                     [&](const Finding& candidate) { return candidate.code == code; });
    const std::string text = finding_text(*finding);
    CHECK(text != code);
    CHECK(text.find('{') == std::string::npos);
    CHECK(text.back() == '.');
    for (const auto& [name, value] : finding->values) CHECK(std::isfinite(value));
    CHECK(run.usable() == (finding->severity != Severity::unusable));
  }
}

TEST_CASE("a finding's values are those of the run") {
  const auto values = [](const std::string& code) {
    const RunAnalysis run = analyse_run(deserving(code));
    for (const Finding& finding : run.findings) {
      if (finding.code == code) {
        return std::map<std::string, double>(finding.values.begin(), finding.values.end());
      }
    }
    return std::map<std::string, double>{};
  };
  CHECK_THAT(values("gap").at("gap_s"), WithinAbs(15.0, 0.1));
  CHECK_THAT(values("gap").at("from_s"), WithinAbs(200.0, 0.1));
  CHECK_THAT(values("gap-at-mixing").at("gap_s"), WithinAbs(11.0, 0.1));
  CHECK_THAT(values("mark-contradicts-trace").at("apart_s"), WithinAbs(50.0, 1.5));
  CHECK_THAT(values("short-foreperiod").at("length_s"), WithinAbs(30.0, 1.5));
}

TEST_CASE("a mark near the onset is taken, one far from it is not") {
  RunInput input = input_of(clean_cup());
  input.mark_s = 89.4;
  const RunAnalysis marked = analyse_run(input);
  CHECK(marked.found_by == FoundBy::mark);
  CHECK(marked.mixing_time_s.value == 89.4);
  CHECK_FALSE(has(marked, "mark-contradicts-trace"));
  input.mark_s = 130.0;
  const RunAnalysis contradicted = analyse_run(input);
  CHECK(contradicted.found_by == FoundBy::detector);
  CHECK_THAT(contradicted.mixing_time_s.value, WithinAbs(90.0, 1.5));
  CHECK(has(contradicted, "mark-contradicts-trace"));
}

TEST_CASE("an unknown code is its own text") {
  CHECK(finding_text({"no-such-code", Severity::note, {}}) == "no-such-code");
  CHECK(severity_name(Severity::unusable) == "unusable");
}

TEST_CASE("a run without any reading is unusable, not a crash") {
  const RunAnalysis run = analyse_run({});
  CHECK_FALSE(run.usable());
  CHECK(has(run, "no-foreperiod"));
}
