#include "core/working/vessel_steps.hpp"

#include <optional>

#include "core/matter/elements.hpp"
#include "core/matter/substances.hpp"
#include "core/working/step_writer.hpp"

namespace nestcup {

namespace {

/// Makes the steps of one vessel, one after another.
class VesselWriter : StepWriter {
 public:
  VesselWriter(const Vessel& vessel, const TrialWork& work, Working& working)
      : StepWriter(working),
        vessel_(vessel),
        contents_(vessel.contents),
        sheet_(work.sheet),
        work_(work),
        context_{work.sheet, vessel.place, vessel.run, vessel.degC} {}

  VesselSteps written(const std::set<std::string>& wanted) {
    VesselSteps steps;
    const StepId amount = amount_step();
    if (contents_.stock) {
      stock(amount, wanted, steps);
    } else if (is_water()) {
      steps.mass_g =
          contents_.volume_mL ? mass_of_volume(amount, "water", water_density()) : amount;
    } else {
      steps.mass_g = amount;
      solid(wanted, steps);
    }
    return steps;
  }

 private:
  [[nodiscard]] bool is_water() const {
    return contents_.substance && contents_.substance->text == "H2O(l)";
  }

  [[nodiscard]] std::string own(const std::string& symbol) const {
    return indexed(symbol, vessel_.index);
  }

  /// What the contents are called: the stock, the substance, or the sheet's word for it.
  [[nodiscard]] std::string subject() const {
    if (contents_.stock) return sheet_.stocks[*contents_.stock].name;
    return contents_.substance ? contents_.substance->text : contents_.substance_text;
  }

  /// Volume or mass as it was read, less what stayed behind.
  StepId amount_step() {
    const bool is_volume = contents_.volume_mL.has_value();
    const std::string quantity = is_volume ? "volume" : "mass";
    const std::string symbol = own(is_volume ? "V" : "m");
    const std::string unit = is_volume ? "mL" : "g";
    const std::string by =
        contents_.instrument ? sheet_.instruments[*contents_.instrument].name : "";
    const AmountTaken amount = amount_taken(contents_, context_, work_.inputs);
    if (amount.left_behind.value() == 0.0) {
      return given({quantity, symbol, unit, subject()}, Origin::sheet, amount.taken(), by);
    }
    const StepId read =
        given({quantity + "_read", symbol + "'", unit, subject()}, Origin::sheet, amount.read, by);
    const StepId left =
        given({"left_behind", "Delta" + symbol, unit, subject()},
              contents_.left_behind_mL || contents_.left_behind_g ? Origin::sheet : Origin::rule,
              amount.left_behind);
    return derived({quantity, symbol, unit, subject()}, "r - l", {{"r", read}, {"l", left}});
  }

  Origin density_origin() const {
    const bool chosen = sheet_.conventions && sheet_.conventions->density_g_per_mL;
    return chosen ? Origin::convention : Origin::table;
  }

  double water_density() const {
    return Solution::water(1.0, liquid_convention(sheet_.conventions))
        .density_g_per_mL(read_at_degC(contents_, context_).value());
  }

  StepId mass_of_volume(StepId volume, const std::string& about, double density) {
    const StepId rho =
        given({"density", own("rho"), "g/mL", about}, density_origin(), Measured(density));
    return derived({"mass", own("m"), "g", subject()}, "rho * V", {{"rho", rho}, {"V", volume}});
  }

  void stock(StepId amount, const std::set<std::string>& wanted, VesselSteps& steps) {
    const Stock& stock = sheet_.stocks[*contents_.stock];
    const auto solution = stock_solution(stock, sheet_.conventions);
    if (!solution) return;
    steps.mass_g =
        contents_.volume_mL
            ? mass_of_volume(amount, stock.name,
                             solution->density_g_per_mL(read_at_degC(contents_, context_).value()))
            : amount;
    std::map<std::string, int> counts;
    for (const Particle& particle : dissociated(in_phase(stock.substance, Phase::aqueous))) {
      counts[particle.species.text] += particle.count;
    }
    bool needed = false;
    for (const auto& [particle, count] : counts) needed = needed || wanted.count(particle) > 0;
    if (!needed) return;
    const StepId dissolved = stock.concentration_mol_per_L
                                 ? by_concentration(stock, *solution, amount, steps.mass_g)
                                 : by_mass_fraction(stock, steps.mass_g);
    for (const auto& [particle, count] : counts) {
      if (wanted.count(particle) == 0) continue;
      steps.amounts_mol[particle] =
          particle == stock.substance.text
              ? dissolved
              : derived({"amount_of_particle", own("n") + "(" + particle + ")", "mol", particle},
                        std::to_string(count) + " * n", {{"n", dissolved}});
    }
  }

  /// The concentration holds at 20 degC: so does the volume that it is of.
  StepId by_concentration(const Stock& stock, const Solution& solution, StepId amount,
                          StepId mass) {
    const std::string symbol = own("n") + "(" + stock.substance.text + ")";
    StepId volume = amount;
    const bool chosen = sheet_.conventions && sheet_.conventions->density_g_per_mL;
    if (!chosen || !contents_.volume_mL) {
      const double density = solution.density_g_per_mL(volumetric_degC);
      const StepId rho = given({"density_at_20", own("rho") + ",20", "g/mL", stock.name},
                               density_origin(), Measured(density));
      volume = derived({"volume_at_20", own("V") + ",20", "mL", stock.name}, "m / rho",
                       {{"m", mass}, {"rho", rho}});
    }
    const StepId strength = given({"concentration", own("c"), "mol/L", stock.name}, Origin::sheet,
                                  strength_of(stock, work_.inputs));
    return derived({"amount", symbol, "mol", stock.substance.text}, "c * V / 1000",
                   {{"c", strength}, {"V", volume}});
  }

  StepId by_mass_fraction(const Stock& stock, StepId mass) {
    const StepId strength = given({"mass_fraction", own("w"), "", stock.name}, Origin::sheet,
                                  strength_of(stock, work_.inputs));
    const StepId molar = molar_mass(stock.substance);
    return derived(
        {"amount", own("n") + "(" + stock.substance.text + ")", "mol", stock.substance.text},
        "w * m / M", {{"w", strength}, {"m", mass}, {"M", molar}});
  }

  StepId molar_mass(const Formula& species) {
    return given({"molar_mass", "M(" + species.text + ")", "g/mol", species.text}, Origin::table,
                 Measured(molar_mass_g_per_mol(species).value));
  }

  void solid(const std::set<std::string>& wanted, VesselSteps& steps) {
    if (!contents_.substance || wanted.count(contents_.substance->text) == 0) return;
    const std::string& species = contents_.substance->text;
    const StepId molar = molar_mass(*contents_.substance);
    steps.amounts_mol[species] = derived({"amount", own("n") + "(" + species + ")", "mol", species},
                                         "m / M", {{"m", steps.mass_g}, {"M", molar}});
  }

  const Vessel& vessel_;
  const Contents& contents_;
  const Sheet& sheet_;
  const TrialWork& work_;
  AmountContext context_;
};

}  // namespace

VesselSteps vessel_steps(const Vessel& vessel, const std::set<std::string>& wanted,
                         const TrialWork& work, Working& working) {
  return VesselWriter(vessel, work, working).written(wanted);
}

std::string indexed(const std::string& symbol, int index) {
  return symbol + "_" + std::to_string(index);
}

}  // namespace nestcup
