// Whole days at the simulated bench: from readings to the sheet's results, beside the truth.
#include "core/chemistry/results.hpp"

#include <cmath>
#include <functional>

#include "core/record/replay.hpp"
#include "core/record/results_input.hpp"
#include "core/sheet/sheet_file.hpp"
#include "tests/analysis/followed.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

/// What really was in the vessels in one run.
struct Used {
  double cup_mL = 0.0;
  double added = 0.0;  ///< mL or g, as the sheet has it
};

/// What a trial should give, and how well it must be known.
struct Wanted {
  std::string trial;
  double truth = 0.0;
  double u_at_most = 0.0;
  std::vector<Used> runs;
};

/// A scenario with the truth that the comment on top of it tells.
struct Day {
  std::string scenario;
  std::string sheet;
  std::vector<Wanted> trials;  ///< all of the sheet's, in its order; the first gives the constant
  std::optional<Wanted> cycle;
};

const Day oxide{"oxide-day",
                "tools/demo/sheet.toml",
                {{"warm", 28.0, 1.0, {{50.0, 50.0}, {50.0, 50.0}}},
                 {"oxide", -151.23, 1.0, {{100.0, 0.7200}, {100.0, 0.7217}}},
                 {"metal", -467.0, 3.0, {{100.0, 0.2506}, {100.0, 0.2492}}},
                 {"salt", 14.78, 0.1, {{100.0, 5.00}}}},
                Wanted{"", -601.6, 3.0, {}}};
const Day sulfate{"magnesium-sulfate-day",
                  "tools/examples/magnesium-sulfate.toml",
                  {{"warm", 30.0, 1.0, {{50.1, 50.1}, {50.1, 50.1}}},
                   {"anhydrous", -91.2, 0.5, {{100.1, 3.012}, {100.1, 3.012}}},
                   {"crystals", 11.8, 0.2, {{96.9, 6.165}, {96.9, 6.165}}}},
                  Wanted{"", -103.0, 0.5, {}}};
const Day metal_and_ice{"metal-and-ice-day",
                        "tools/examples/metal-and-ice.toml",
                        {{"warm", 30.0, 1.0, {{60.15, 60.15}, {60.15, 60.15}}},
                         {"block", 0.900, 0.005, {{110.15, 54.31}, {110.15, 54.31}}},
                         {"ice", 333.5, 1.5, {{110.15, 14.63}, {110.15, 14.63}}}},
                        std::nullopt};

Sheet sheet_of(const Day& day) {
  auto sheet = read_sheet(std::string(NESTCUP_SOURCE_DIR) + "/" + day.sheet);
  REQUIRE(sheet);
  return std::move(sheet).value();
}

/// What a trial is for, as the table of results has it: enthalpies at 25 degC where they can be
/// carried there.
std::optional<Measured> outcome_of(const TrialResult& trial) {
  if (trial.constant_J_per_K) return trial.constant_J_per_K;
  if (trial.delta_H_25_kJ_per_mol) return trial.delta_H_25_kJ_per_mol;
  if (trial.delta_H_kJ_per_mol) return trial.delta_H_kJ_per_mol;
  return trial.heat_capacity_J_per_g_K ? trial.heat_capacity_J_per_g_K : trial.fusion_J_per_g;
}

/// The sheet as it would be if every amount were known as it was.
Sheet true_sheet(const Day& day, std::size_t trial, const Used& used) {
  Sheet sheet = sheet_of(day);
  *sheet.trials[trial].cup->volume_mL = used.cup_mL;
  Contents& added = *sheet.trials[trial].added;
  (added.volume_mL ? *added.volume_mL : *added.mass_g) = used.added;
  if (trial > 0) sheet.calorimeter.constant_J_per_K = day.trials[0].truth;
  return sheet;
}

RunFacts true_facts(const sim::TrialTruth& truth) {
  RunFacts facts;
  facts.id = truth.trial;
  facts.trial = truth.trial;
  facts.cup_degC.value = truth.cup_at_mixing_degC;
  facts.added_degC = Uncertain{truth.added_degC.value()};
  facts.added_by_hand = true;
  facts.rise_K.value = truth.corrected_rise_K;
  return facts;
}

/// The runs of a trace by the path of the daemon's readings, given to the trials in the sheet's
/// order.
std::vector<RunFacts> replayed_facts(const Day& day, const sim::SimulatedRun& run) {
  const auto trace = parse_trace(sim::trace_csv(run), day.scenario + ".csv");
  REQUIRE(trace);
  int made = 0;
  auto runs = replay_trace(*trace, {}, [&] { return "run " + std::to_string(++made); });
  std::vector<RunFacts> all;
  auto next = runs.begin();
  for (const Wanted& wanted : day.trials) {
    for (std::size_t number = 1; number <= wanted.runs.size() && next != runs.end(); ++number) {
      Json record = std::move((next++)->made.record);
      record["trial"] = {{"name", wanted.trial}, {"number", number}};
      const auto facts = record_facts(record);
      REQUIRE(facts);
      REQUIRE(facts->facts);
      all.push_back(*facts->facts);
    }
  }
  REQUIRE(runs.size() == run.truth.size());
  // A daemon is not told that the day ends: the last run must have been complete before.
  CHECK(to_s(runs.back().run.readings.back().time_us) < run.time_s.back() - 1.0);
  return all;
}

void check_within_3u(const std::optional<Measured>& found, const Wanted& wanted) {
  REQUIRE(found);
  INFO(wanted.trial << ": " << found->value() << " u " << found->u() << ", truth " << wanted.truth);
  CHECK(std::abs(found->value() - wanted.truth) <= 3.0 * found->u());
  CHECK(found->u() > 0.0);
  CHECK(found->u() <= wanted.u_at_most);
}

}  // namespace

TEST_CASE("heat capacities and heats of a day belong to its amounts and its truth") {
  const Day& day = GENERATE(std::cref(oxide), std::cref(sulfate), std::cref(metal_and_ice)).get();
  INFO(day.scenario);
  const sim::Scenario scenario = shipped_scenario(day.scenario);
  CHECK(scenario.duration_s <= 3200.0);
  const auto truths = simulate(scenario, 1).truth;
  std::size_t mixing = 0;
  for (std::size_t trial = 0; trial < day.trials.size(); ++trial) {
    const Wanted& wanted = day.trials[trial];
    CHECK(sheet_of(day).trials.at(trial).repeats.value_or(1) ==
          static_cast<int>(wanted.runs.size()));
    for (const Used& used : wanted.runs) {
      const sim::TrialTruth& truth = truths.at(mixing++);
      REQUIRE(truth.trial == wanted.trial);
      const Results results = work_out(true_sheet(day, trial, used), {true_facts(truth)});
      const auto found = outcome_of(results.trials.at(trial));
      REQUIRE(found);
      INFO(wanted.trial << ", " << mixing << " of the day: " << found->value());
      // The scenario's figures are rounded to 0.01 J/K and 0.1 J; 0.005 J/K of warm water are worth
      // twice as much of a constant.
      const double off = std::abs(found->value() - wanted.truth);
      CHECK(off <= (trial == 0 ? 0.03 : 2e-4 * std::abs(wanted.truth)));
    }
  }
  CHECK(mixing == truths.size());
}

TEST_CASE("a day's results lie within 3 u of its truth") {
  const Day& day = GENERATE(std::cref(oxide), std::cref(sulfate), std::cref(metal_and_ice)).get();
  const std::uint64_t seed = GENERATE(1, 2, 3);
  INFO(day.scenario << ", seed " << seed);
  const sim::SimulatedRun run = simulate(shipped_scenario(day.scenario), seed);
  const Results results = work_out(sheet_of(day), replayed_facts(day, run));
  check_within_3u(results.constant_J_per_K, day.trials[0]);
  for (std::size_t trial = 1; trial < day.trials.size(); ++trial) {
    check_within_3u(outcome_of(results.trials.at(trial)), day.trials[trial]);
    CHECK(results.trials[trial].runs.size() == day.trials[trial].runs.size());
    CHECK(results.trials[trial].probability > 0.001);
  }
  REQUIRE(results.cycle.has_value() == day.cycle.has_value());
  if (!day.cycle) return;
  check_within_3u(results.cycle->delta_H_kJ_per_mol, *day.cycle);
  const Measured& cycle = *results.cycle->delta_H_kJ_per_mol;
  CHECK(std::abs(cycle.value() - day.cycle->truth) <= cycle.u());
  REQUIRE(results.cycle->accepted);
  CHECK(std::abs(results.cycle->accepted->E_n.value()) <= 1.0);
}
