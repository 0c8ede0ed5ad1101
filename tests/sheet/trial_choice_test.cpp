// Which trial the next run is for.
#include "core/sheet/trial_choice.hpp"

#include "core/sheet/sheet_file.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

/// Three trials: two repeats, one that is typed already, and one without a number of repeats.
Sheet three_trials() {
  const auto sheet = parse_sheet(R"toml([sheet]
title = "Three"
[[trial]]
name = "warm"
purpose = "calorimeter constant"
repeats = 2
cup = { substance = "water", volume_mL = 50.0 }
added = { substance = "water", volume_mL = 50.0 }
[[trial]]
name = "warmer"
purpose = "calorimeter constant"
repeats = 2
cup = { substance = "water", volume_mL = 50.0 }
added = { substance = "water", volume_mL = 50.0 }
typed = { cup_degC = 20.0, added_degC = 40.0, final_degC = 29.5 }
[[trial]]
name = "coil"
purpose = "electrical calibration"
cup = { substance = "water", volume_mL = 100.0 }
heater = { voltage_V = 9.6, current_A = 1.37, time_s = 100.0 }
)toml",
                                 "three.toml");
  INFO((sheet ? "" : sheet.error().text));
  REQUIRE(sheet);
  return *sheet;
}

/// The next turn as a word: "warm 2", or "none".
std::string next(const Sheet& sheet, const std::vector<GivenRun>& runs) {
  const auto turn = next_open_trial(sheet, runs);
  if (!turn) return "none";
  return sheet.trials.at(turn->trial).name + " " + std::to_string(turn->number);
}

}  // namespace

TEST_CASE("runs are given to the trials in the sheet's order until all are done") {
  const Sheet sheet = three_trials();
  std::vector<GivenRun> runs;
  std::vector<std::string> turns;
  for (int run = 0; run < 6; ++run) {
    turns.push_back(next(sheet, runs));
    const auto turn = next_open_trial(sheet, runs);
    if (turn) runs.push_back({sheet.trials[turn->trial].name, turn->number, false});
  }
  // The typed run is the first of its trial.
  CHECK(turns ==
        std::vector<std::string>{"warm 1", "warm 2", "warmer 2", "coil 1", "none", "none"});
}

TEST_CASE("a struck run opens its trial again and keeps its number") {
  const Sheet sheet = three_trials();
  CHECK(next(sheet, {{"warm", 1, true}, {"warm", 2, false}}) == "warm 3");
  CHECK(next(sheet, {{"warm", 1, false}, {"warm", 2, false}, {"warmer", 2, true}}) == "warmer 3");
}

TEST_CASE("a number that became free is taken again") {
  const Sheet sheet = three_trials();
  CHECK(next(sheet, {{"warm", 2, false}}) == "warm 1");
  CHECK(free_number(sheet.trials[0], {{"warm", 1, false}, {"warm", 3, false}}) == 2);
  CHECK(free_number(sheet.trials[1], {}) == 2);
}

TEST_CASE("more runs than planned, and runs of trials that are gone, disturb nothing") {
  const Sheet sheet = three_trials();
  const std::vector<GivenRun> many{
      {"warm", 1, false}, {"warm", 2, false}, {"warm", 3, false}, {"gone", 1, false}};
  CHECK(next(sheet, many) == "warmer 2");
}

TEST_CASE("a trial that is not there names the nearest") {
  const Sheet sheet = three_trials();
  CHECK(*trial_named(sheet, "coil") == 2);
  const auto wrong = trial_named(sheet, "wram");
  REQUIRE_FALSE(wrong);
  CHECK(wrong.error().kind == Fault::usage);
  CHECK_THAT(wrong.error().text, ContainsSubstring("\"warm\""));
  CHECK_FALSE(trial_named(sheet, ""));
}
