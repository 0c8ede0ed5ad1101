#include "core/chemistry/trial_values.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/chemistry/accepted_values.hpp"
#include "core/matter/water.hpp"

namespace nestcup {

namespace {

void note_flags(const HeatCapacityFlags& flags, const TrialWork& work) {
  if (flags.extrapolated) {
    work.notes.add({"heat-capacity-extrapolated", Severity::note, work.trial.name,
                    "A solution is stronger, colder or warmer than its tabulated heat capacity "
                    "reaches: the table is carried on."});
  }
  if (flags.estimated) {
    work.notes.add({"heat-capacity-estimated", Severity::note, work.trial.name,
                    "No heat capacity is tabulated for one of the contents: it is estimated, with "
                    "a larger uncertainty."});
  }
}

using Words = std::vector<std::pair<std::string, std::string>>;

void note_doubtful(const std::string& why, const std::string& wording, const Words& words,
                   const TrialWork& work) {
  work.notes.add({"not-worked-out", Severity::unusable, work.trial.name, why, words, wording});
}

/// A rise that is nothing within its uncertainty tells no constant and no heat capacity.
bool tells(const Measured& difference_K, const std::string& what, const TrialWork& work) {
  if (std::abs(difference_K.value()) > 3.0 * difference_K.u() && difference_K.value() != 0.0) {
    return true;
  }
  note_doubtful(fmt::format("{} is {:.3f} K, no more than its uncertainty allows for nothing. Take "
                            "contents that differ more in temperature.",
                            what, difference_K.value()),
                "small", {{"difference", fmt::format("{:.3f}", difference_K.value())}}, work);
  return false;
}

std::optional<Extent> extent_in(const MixedRun& run, const TrialWork& work) {
  Mixture reactants = run.cup;
  reactants += run.added;
  Extent extent = extent_of(*work.trial.equation, reactants);
  if (!(extent.mol.value() > 0.0)) {
    note_doubtful(fmt::format("There is no {} in the contents.", extent.limiting), "absent",
                  {{"species", extent.limiting}}, work);
    return std::nullopt;
  }
  if (extent.rival) {
    work.notes.add({"limiting-unclear",
                    Severity::warning,
                    work.trial.name,
                    fmt::format("{} and {} run out at nearly the same extent: which of them limits "
                                "the reaction is within their uncertainties. Take one of them in "
                                "clear excess.",
                                extent.limiting, *extent.rival),
                    {{"species", extent.limiting}, {"other", *extent.rival}}});
  }
  return extent;
}

struct Reacted {
  Extent extent;
  Measured contents_J, wet_gas_J;
};

std::optional<Reacted> react(const MixedRun& run, const TrialWork& work) {
  auto extent = extent_in(run, work);
  if (!extent) return std::nullopt;
  Mixture reactants = run.cup;
  reactants += run.added;
  const Mixture products = after_reaction(reactants, *work.trial.equation, extent->mol);
  HeatCapacityFlags flags;
  Reacted reacted{*extent, heat_of_contents_J(run, products, work.inputs, flags), {}};
  reacted.wet_gas_J =
      heat_of_wet_gas_J(gas_mol(*work.trial.equation, extent->mol), run.final_degC, work.inputs);
  note_flags(flags, work);
  return reacted;
}

/// V I t; all heaters of one name of error are one instrument.
Measured electrical_J(const Heater& heater, Inputs& inputs) {
  const auto quantity = [&](const std::string& name, double value, std::optional<double> u) {
    const InputId input = inputs.shared(name, {name, ErrorSource::electrical, {}});
    return Measured::of(value, input, u.value_or(0.0));
  };
  return quantity("voltage", heater.voltage_V, heater.u_voltage_V) *
         quantity("current", heater.current_A, heater.u_current_A) *
         quantity("heating time", heater.time_s, heater.u_time_s);
}

/// Heat (J) that came in, and what the contents took of it.
struct Sources {
  Measured in_J, contents_J;
};

std::optional<Sources> sources_of(const MixedRun& run, const TrialWork& work) {
  if (work.trial.purpose == Purpose::electrical_calibration || !work.trial.equation) {
    Mixture mixed = run.cup;
    mixed += run.added;
    HeatCapacityFlags flags;
    const Measured contents_J = heat_of_contents_J(run, mixed, work.inputs, flags);
    note_flags(flags, work);
    const Measured in_J =
        work.trial.heater ? electrical_J(*work.trial.heater, work.inputs) : Measured{};
    return Sources{in_J, contents_J};
  }
  const auto reference = reference_enthalpy(work, run.cup_degC);
  if (!reference) return std::nullopt;
  const auto reacted = react(run, work);
  if (!reacted) return std::nullopt;
  return Sources{-1000.0 * *reference * reacted->extent.mol,
                 reacted->contents_J + reacted->wet_gas_J};
}

/// Heat (J) that cup contents and calorimeter took up.
Measured cup_heat_J(const MixedRun& run, const Measured& constant_J_per_K, const TrialWork& work) {
  HeatCapacityFlags flags;
  const Measured cup_J_per_K = heat_capacity_J_per_K(run.cup, run.cup_degC, run.final_degC,
                                                     run.conventions, work.inputs, flags);
  note_flags(flags, work);
  return (cup_J_per_K + constant_J_per_K) * run.rise_K;
}

}  // namespace

std::optional<Measured> constant_of_run(const MixedRun& run, const TrialWork& work) {
  if (!tells(run.rise_K, "The corrected rise", work)) return std::nullopt;
  const auto sources = sources_of(run, work);
  if (!sources) return std::nullopt;
  return (sources->in_J - sources->contents_J) / run.rise_K;
}

std::optional<ReactionRun> reaction_of_run(const MixedRun& run, const Measured& constant_J_per_K,
                                           const TrialWork& work) {
  const auto reacted = react(run, work);
  if (!reacted) return std::nullopt;
  ReactionRun result;
  result.wet_gas_J = reacted->wet_gas_J;
  result.heat_J = reacted->contents_J + reacted->wet_gas_J + constant_J_per_K * run.rise_K;
  result.extent_mol = reacted->extent.mol;
  result.limiting = reacted->extent.limiting;
  result.delta_H_kJ_per_mol = -0.001 * result.heat_J / result.extent_mol;
  return result;
}

std::optional<Measured> solid_J_per_g_K(const MixedRun& run, const Measured& constant_J_per_K,
                                        const TrialWork& work) {
  const Measured fall_K = run.added_degC - run.final_degC;
  if (!tells(fall_K, "The solid's change of temperature", work)) return std::nullopt;
  return cup_heat_J(run, constant_J_per_K, work) / (mass_g(run.added) * fall_K);
}

std::optional<Measured> fusion_J_per_g(const MixedRun& run, const Measured& constant_J_per_K,
                                       const TrialWork& work) {
  const Measured ice_g = mass_g(run.added);
  // Ice below 0 degC is warmed first, its water last.
  const Measured warmed_J =
      ice_g * ice_J_per_g_K(0.5 * run.added_degC, work.inputs) * -run.added_degC;
  Mixture melted;
  melted.water_g = ice_g;
  HeatCapacityFlags flags;
  const Measured water_J =
      run.final_degC * heat_capacity_J_per_K(melted, Measured(0.0), run.final_degC, run.conventions,
                                             work.inputs, flags);
  return -(cup_heat_J(run, constant_J_per_K, work) + warmed_J + water_J) / ice_g;
}

}  // namespace nestcup
