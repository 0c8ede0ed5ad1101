#include "core/chemistry/expected_rise.hpp"

#include <fmt/format.h>

#include <cmath>

#include "core/chemistry/trial_values.hpp"

namespace nestcup {

namespace {

/// Everything that does not change with the rise that is tried.
struct Balance {
  const TrialWork& work;
  MixedRun run;
  Measured constant_J_per_K;
  Measured outcome;
};

MixedRun with_rise(MixedRun run, double rise_K) {
  run.rise_K = Measured(rise_K);
  run.final_degC = run.cup_degC + run.rise_K;
  return run;
}

/// Heat (J) that a rise would need beyond what the expected outcome gives; 0 at the rise looked
/// for. It is nearly straight in the rise, whatever the trial is for.
std::optional<Measured> surplus_J(const Balance& balance, double rise_K) {
  const MixedRun run = with_rise(balance.run, rise_K);
  const TrialWork& work = balance.work;
  switch (work.trial.purpose) {
    case Purpose::heat_capacity: {
      const auto found = solid_J_per_g_K(run, balance.constant_J_per_K, work);
      if (!found) return std::nullopt;
      return (*found - balance.outcome) * mass_g(run.added) * (run.added_degC - run.final_degC);
    }
    case Purpose::fusion: {
      const auto found = fusion_J_per_g(run, balance.constant_J_per_K, work);
      if (!found) return std::nullopt;
      return (balance.outcome - *found) * mass_g(run.added);
    }
    case Purpose::reaction: {
      const auto found = reaction_of_run(run, balance.constant_J_per_K, work);
      if (!found) return std::nullopt;
      return found->heat_J + 1000.0 * found->extent_mol * balance.outcome;
    }
    case Purpose::calorimeter_constant:
    case Purpose::electrical_calibration:
      break;
  }
  const auto found = constant_of_run(run, work);
  if (!found) return std::nullopt;
  return (balance.outcome - *found) * run.rise_K;
}

/// The rise by the secant; as a measured value, whose effects are those of the surplus over its
/// slope (the implicit function's derivative).
std::optional<Measured> solved_rise_K(const Balance& balance) {
  constexpr double close_K = 1e-12;
  constexpr double farthest_K = 200.0;
  double before_K = 1.0, rise_K = 2.0;
  auto before = surplus_J(balance, before_K);
  for (int turn = 0; turn < 40 && before; ++turn) {
    const auto here = surplus_J(balance, rise_K);
    if (!here) return std::nullopt;
    const double slope = (here->value() - before->value()) / (rise_K - before_K);
    const double next_K = rise_K - here->value() / slope;
    if (!(std::abs(next_K) <= farthest_K)) return std::nullopt;
    if (std::abs(next_K - rise_K) <= close_K * std::max(1.0, std::abs(rise_K))) {
      return Measured(rise_K) - *here / slope;
    }
    before_K = rise_K;
    before = here;
    rise_K = next_K;
  }
  return std::nullopt;
}

/// What is in the cup in the end; the solid of a heat capacity aside.
Mixture mixture_after(const Balance& balance, const Measured& extent_mol) {
  Mixture all = balance.run.cup;
  const SheetTrial& trial = balance.work.trial;
  if (trial.purpose == Purpose::heat_capacity) return all;
  if (trial.purpose == Purpose::fusion) {
    all.water_g += mass_g(balance.run.added);
    return all;
  }
  all += balance.run.added;
  return trial.equation ? after_reaction(all, *trial.equation, extent_mol) : all;
}

void take_heat_capacities(const Balance& balance, const Measured& extent_mol,
                          ExpectedTrial& expected) {
  HeatCapacityFlags flags;
  const auto mean_J_per_K = [&](const Mixture& mixture) {
    return heat_capacity_J_per_K(mixture, expected.cup_degC, expected.final_degC,
                                 balance.run.conventions, balance.work.inputs, flags)
        .value();
  };
  const double constant = balance.constant_J_per_K.value();
  expected.cup_J_per_K = mean_J_per_K(balance.run.cup) + constant;
  expected.after_J_per_K = mean_J_per_K(mixture_after(balance, extent_mol)) + constant;
  if (balance.work.trial.purpose == Purpose::heat_capacity) {
    expected.after_J_per_K += (balance.outcome * mass_g(balance.run.added)).value();
  }
}

/// @return the extent; 0 without an equation
Result<Measured> take_reactants(const Balance& balance, ExpectedTrial& expected) {
  const auto& equation = balance.work.trial.equation;
  if (!equation) return Measured{};
  Mixture reactants = balance.run.cup;
  reactants += balance.run.added;
  const Extent extent = extent_of(*equation, reactants);
  if (!(extent.mol.value() > 0.0)) {
    return Error{Fault::bad_data, fmt::format("there is no {} in the contents", extent.limiting)};
  }
  expected.reaches = reaches_of(*equation, reactants);
  expected.rival = extent.rival;
  expected.gas_mol = gas_mol(*equation, extent.mol);
  return extent.mol;
}

RunFacts planned_facts(const TrialWork& work, const Assumptions& assumptions,
                       ExpectedTrial& expected) {
  RunFacts facts;
  facts.id = "plan";
  facts.trial = work.trial.name;
  facts.cup_degC = expected_cup_degC(work.trial, assumptions);
  if (work.trial.added) {
    facts.added_degC =
        expected_added_degC(work.trial, assumptions, facts.cup_degC, expected.added_source);
    facts.added_by_hand = true;
  }
  facts.rise_K = {1.0, 0.0, {}};
  return facts;
}

}  // namespace

Result<ExpectedTrial> expected_trial(const TrialWork& work, const Assumptions& assumptions,
                                     const Measured& constant_J_per_K) {
  ExpectedTrial expected;
  expected.name = work.trial.name;
  const RunFacts facts = planned_facts(work, assumptions, expected);
  const auto run = mixed_run(facts, work);
  if (!run) return Error{Fault::bad_data, "its contents cannot be told"};
  expected.cup_degC = run->cup_degC;
  if (work.trial.added) expected.added_degC = run->added_degC;
  auto outcome = expected_outcome(work, assumptions, constant_J_per_K, run->cup_degC);
  if (!outcome) return outcome.error();
  expected.outcome = std::move(outcome).value();
  const Balance balance{work, *run, constant_J_per_K, expected.outcome.value};
  const auto extent_mol = take_reactants(balance, expected);
  if (!extent_mol) return extent_mol.error();
  const auto rise_K = solved_rise_K(balance);
  if (!rise_K) {
    return Error{Fault::bad_data,
                 "no final temperature balances the heat while the contents stay liquid; are the "
                 "amounts what they should be?"};
  }
  expected.rise_K = *rise_K;
  expected.final_degC = expected.cup_degC + *rise_K;
  take_heat_capacities(balance, *extent_mol, expected);
  return expected;
}

}  // namespace nestcup
