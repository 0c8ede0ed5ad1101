#include "core/working/run_steps.hpp"

#include <algorithm>

#include "core/chemistry/accepted_values.hpp"
#include "core/chemistry/heat_capacity.hpp"
#include "core/chemistry/trial_values.hpp"
#include "core/matter/water.hpp"
#include "core/working/reaction_steps.hpp"
#include "core/working/step_writer.hpp"
#include "core/working/vessel_steps.hpp"

namespace nestcup {

namespace {

/// Makes the steps of one run, one after another.
class RunWriter : StepWriter {
 public:
  RunWriter(const RunResult& run, std::optional<StepId> constant, const TrialWork& work,
            Working& working)
      : StepWriter(working), run_(run), constant_(constant), work_(work) {}

  RunSteps written() {
    temperatures();
    contents();
    return {cup_degC_, result()};
  }

 private:
  /// Where the added temperature was taken from; mixed_run has the same order.
  [[nodiscard]] Origin added_origin() const {
    if (run_.facts.added_degC) return Origin::record;
    if (work_.trial.added->temperature_degC) return Origin::sheet;
    return Origin::rule;
  }

  void temperatures() {
    const MixedRun& mixed = run_.mixed;
    cup_degC_ = given({"cup_temperature", "T_1", "degC"}, Origin::record, mixed.cup_degC);
    if (work_.trial.added) {
      added_degC_ = given({"added_temperature", "T_2", "degC"}, added_origin(), mixed.added_degC);
    }
    if (run_.facts.final_degC) {
      final_degC_ = given({"final_temperature", "T_f", "degC"}, Origin::record, mixed.final_degC);
      rise_K_ = derived({"rise", "DeltaT", "K"}, "f - c", {{"f", final_degC_}, {"c", cup_degC_}});
    } else {
      rise_K_ = given({"corrected_rise", "DeltaT", "K"}, Origin::record, mixed.rise_K);
      final_degC_ = derived({"final_temperature", "T_f", "degC"}, "c + r",
                            {{"c", cup_degC_}, {"r", rise_K_}});
    }
  }

  void contents() {
    const SheetTrial& trial = work_.trial;
    std::set<std::string> wanted;
    if (trial.equation) wanted = particles_taken(*trial.equation);
    if (trial.cup) vessel(1, *trial.cup, "cup", run_.mixed.cup_degC, wanted);
    if (trial.added) vessel(2, *trial.added, "added contents", run_.mixed.added_degC, wanted);
  }

  void vessel(int index, const Contents& contents, const std::string& name, const Measured& degC,
              const std::set<std::string>& wanted) {
    const Vessel vessel{index, contents, degC, run_.facts.id, name + " of " + work_.trial.name};
    const VesselSteps steps = vessel_steps(vessel, wanted, work_, working());
    (index == 1 ? cup_g_ : added_g_) = steps.mass_g;
    for (const auto& [particle, step] : steps.amounts_mol) {
      const auto known = amounts_mol_.find(particle);
      amounts_mol_[particle] =
          known == amounts_mol_.end()
              ? step
              : derived({"amount_together", "n(" + particle + ")", "mol", particle}, "a + b",
                        {{"a", known->second}, {"b", step}});
    }
  }

  StepId result() {
    switch (work_.trial.purpose) {
      case Purpose::reaction:
        return enthalpy();
      case Purpose::heat_capacity:
        return solid();
      case Purpose::fusion:
        return fusion();
      case Purpose::calorimeter_constant:
      case Purpose::electrical_calibration:
        break;
    }
    return constant();
  }

  [[nodiscard]] Origin heat_capacity_origin() const {
    const auto& conventions = work_.sheet.conventions;
    return conventions && conventions->heat_capacity_J_per_g_K ? Origin::convention : Origin::table;
  }

  /// m c of some contents between two temperatures.
  StepId heat_capacity(int index, StepId mass, const Mixture& mixture, const Measured& from_degC,
                       const Measured& to_degC) {
    HeatCapacityFlags flags;
    const Measured whole = heat_capacity_J_per_K(mixture, from_degC, to_degC,
                                                 run_.mixed.conventions, work_.inputs, flags);
    const StepId specific = given({"specific_heat_capacity_" + std::to_string(index),
                                   "c_p," + std::to_string(index), "J/(g K)"},
                                  heat_capacity_origin(), whole / value(mass));
    return derived({"heat_capacity", indexed("C", index), "J/K"}, "m * c",
                   {{"m", mass}, {"c", specific}});
  }

  /// What is in the cup in the end: its mass, and the heat that it took up.
  StepId heat_of_contents(const Mixture& after, StepId mass) {
    const MixedRun& mixed = run_.mixed;
    const StepId after_J_per_K = heat_capacity(3, mass, after, mixed.cup_degC, mixed.final_degC);
    if (!work_.trial.added) {
      return derived({"heat_of_contents", "q_c", "J"}, "C * r",
                     {{"C", after_J_per_K}, {"r", rise_K_}});
    }
    const StepId added_J_per_K =
        heat_capacity(2, added_g_, mixed.added, mixed.added_degC, mixed.cup_degC);
    return derived({"heat_of_contents", "q_c", "J"}, "A * (c - a) + C * r",
                   {{"A", added_J_per_K},
                    {"c", cup_degC_},
                    {"a", *added_degC_},
                    {"C", after_J_per_K},
                    {"r", rise_K_}});
  }

  StepId mass_together(const std::optional<GasSteps>& gas) {
    if (!work_.trial.added) return cup_g_;
    if (!gas) {
      return derived({"mass_after", "m_3", "g"}, "a + b", {{"a", cup_g_}, {"b", added_g_}});
    }
    return derived({"mass_after", "m_3", "g"}, "a + b - g",
                   {{"a", cup_g_}, {"b", added_g_}, {"g", gas->mass_g}});
  }

  [[nodiscard]] Mixture mixed_contents() const {
    Mixture mixture = run_.mixed.cup;
    mixture += run_.mixed.added;
    return mixture;
  }

  /// Steps of a reaction up to the heat that contents and gas took.
  struct Reacted {
    StepId extent, contents_J;
    std::optional<StepId> gas_J;
  };

  Reacted reacted() {
    const Equation& equation = *work_.trial.equation;
    const StepId extent = extent_step(equation, amounts_mol_, working());
    const auto gas = gas_steps(equation, extent, working());
    const Mixture after = after_reaction(mixed_contents(), equation, value(extent));
    Reacted steps{extent, heat_of_contents(after, mass_together(gas)), {}};
    if (!gas) return steps;
    const Measured wet_J = heat_of_wet_gas_J(value(gas->mol), run_.mixed.final_degC, work_.inputs);
    const StepId per_mol =
        given({"vapour_heat", "h_g", "kJ/mol"}, Origin::table, 0.001 * wet_J / value(gas->mol));
    steps.gas_J =
        derived({"heat_of_gas", "q_g", "J"}, "1000 * n * h", {{"n", gas->mol}, {"h", per_mol}});
    return steps;
  }

  StepId calorimeter_heat() {
    return derived({"heat_of_calorimeter", "q_K", "J"}, "K * r",
                   {{"K", *constant_}, {"r", rise_K_}});
  }

  StepId enthalpy() {
    const Reacted steps = reacted();
    const StepId of_calorimeter = calorimeter_heat();
    Operands operands{{"c", steps.contents_J}, {"k", of_calorimeter}};
    if (steps.gas_J) operands["g"] = *steps.gas_J;
    const StepId heat =
        derived({"heat", "q", "J"}, steps.gas_J ? "c + k + g" : "c + k", std::move(operands));
    return derived({"enthalpy", "DeltaH", "kJ/mol"}, "-q / (1000 * x)",
                   {{"q", heat}, {"x", steps.extent}});
  }

  StepId constant() {
    const SheetTrial& trial = work_.trial;
    if (trial.purpose == Purpose::calorimeter_constant && trial.equation) return by_reference();
    const StepId contents_J = heat_of_contents(mixed_contents(), mass_together({}));
    if (!trial.heater) {
      return derived({"constant_of_run", "K", "J/K"}, "-q / r",
                     {{"q", contents_J}, {"r", rise_K_}});
    }
    return derived({"constant_of_run", "K", "J/K"}, "(h - q) / r",
                   {{"h", electrical_heat(*trial.heater)}, {"q", contents_J}, {"r", rise_K_}});
  }

  StepId electrical_heat(const Heater& heater) {
    const auto part = [&](const std::string& what, const std::string& symbol,
                          const std::string& unit, double value, std::optional<double> u) {
      const std::string name = what == "time" ? "heating time" : what;
      const InputId input = work_.inputs.shared(name, {name, ErrorSource::electrical, {}});
      return given({"heater_" + what, symbol, unit}, Origin::sheet,
                   Measured::of(value, input, u.value_or(0.0)));
    };
    const StepId voltage = part("voltage", "U", "V", heater.voltage_V, heater.u_voltage_V);
    const StepId current = part("current", "I", "A", heater.current_A, heater.u_current_A);
    const StepId time = part("time", "t", "s", heater.time_s, heater.u_time_s);
    return derived({"electrical_heat", "q_el", "J"}, "U * I * t",
                   {{"U", voltage}, {"I", current}, {"t", time}});
  }

  StepId by_reference() {
    const Reacted steps = reacted();
    const auto enthalpy = reference_enthalpy(work_, run_.mixed.cup_degC);
    const StepId reference = given({"reference_enthalpy", "DeltaH_ref", "kJ/mol"},
                                   work_.trial.reference_kJ_per_mol ? Origin::sheet : Origin::table,
                                   enthalpy.value_or(Measured{}));
    const StepId heat = derived({"reference_heat", "q_ref", "J"}, "-1000 * H * x",
                                {{"H", reference}, {"x", steps.extent}});
    Operands operands{{"h", heat}, {"q", steps.contents_J}, {"r", rise_K_}};
    if (steps.gas_J) operands["g"] = *steps.gas_J;
    return derived({"constant_of_run", "K", "J/K"}, steps.gas_J ? "(h - q - g) / r" : "(h - q) / r",
                   std::move(operands));
  }

  /// Heat that the cup's contents and the calorimeter took up.
  StepId heat_of_cup() {
    const MixedRun& mixed = run_.mixed;
    const StepId contents = heat_capacity(1, cup_g_, mixed.cup, mixed.cup_degC, mixed.final_degC);
    return derived({"heat_of_cup", "q", "J"}, "(C + K) * r",
                   {{"C", contents}, {"K", *constant_}, {"r", rise_K_}});
  }

  StepId solid() {
    return derived(
        {"solid_heat_capacity", "c_p,2", "J/(g K)"}, "q / (m * (a - f))",
        {{"q", heat_of_cup()}, {"m", added_g_}, {"a", *added_degC_}, {"f", final_degC_}});
  }

  StepId fusion() {
    const StepId cup_J = heat_of_cup();
    const Measured melted_J_per_K = melted_heat_capacity();
    const StepId water = given({"melt_heat_capacity", "c_p,w", "J/(g K)"}, heat_capacity_origin(),
                               melted_J_per_K / value(added_g_));
    const StepId water_J = derived({"heat_of_melt", "q_w", "J"}, "m * c * f",
                                   {{"m", added_g_}, {"c", water}, {"f", final_degC_}});
    Operands operands{{"q", cup_J}, {"w", water_J}, {"m", added_g_}};
    if (run_.mixed.added_degC.value() == 0.0) {
      return derived({"fusion_enthalpy", "L", "J/g"}, "-(q + w) / m", std::move(operands));
    }
    const StepId ice = given({"ice_heat_capacity", "c_p,ice", "J/(g K)"}, Origin::table,
                             ice_J_per_g_K(0.5 * run_.mixed.added_degC, work_.inputs));
    operands["i"] = derived({"heat_of_ice", "q_ice", "J"}, "-m * c * a",
                            {{"m", added_g_}, {"c", ice}, {"a", *added_degC_}});
    return derived({"fusion_enthalpy", "L", "J/g"}, "-(q + i + w) / m", std::move(operands));
  }

  Measured melted_heat_capacity() {
    Mixture melted;
    melted.water_g = mass_g(run_.mixed.added);
    HeatCapacityFlags flags;
    return heat_capacity_J_per_K(melted, Measured(0.0), run_.mixed.final_degC,
                                 run_.mixed.conventions, work_.inputs, flags);
  }

  const RunResult& run_;
  std::optional<StepId> constant_;
  const TrialWork& work_;
  StepId cup_degC_ = 0, final_degC_ = 0, rise_K_ = 0, cup_g_ = 0, added_g_ = 0;
  std::optional<StepId> added_degC_;
  std::map<std::string, StepId> amounts_mol_;
};

}  // namespace

RunSteps run_steps(const RunResult& run, std::optional<StepId> constant_J_per_K,
                   const TrialWork& work, Working& working) {
  return RunWriter(run, constant_J_per_K, work, working).written();
}

}  // namespace nestcup
