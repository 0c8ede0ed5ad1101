#include "core/chemistry/contents.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "core/chemistry/heat_capacity.hpp"
#include "core/matter/elements.hpp"
#include "core/matter/solution.hpp"
#include "core/matter/substances.hpp"

namespace nestcup {

namespace {

/// One amount as the sheet has it: what was read, with the error that the instrument shares and the
/// reading's own, less what stayed behind.
struct AmountKeys {
  ErrorSource source;
  std::string unit;
  double value;
  std::optional<double> u_own, u_shared, left_behind, u_left_behind;
};

/// The film (mL) on the wall of a cylinder that was poured out: 0.2 for 50 mL, for others as the
/// area and the height of a cylinder of that shape tell (core/matter/LIQUIDS.md).
double film_mL(double volume_mL) {
  return 0.2 * std::pow(volume_mL / 50.0, 5.0 / 6.0);
}

/// What stays in a vessel calibrated to contain, where the sheet does not say it; half of it is its
/// uncertainty.
void leave_film(AmountKeys& keys, const Instrument* instrument) {
  if (instrument == nullptr || instrument->calibrated != Calibrated::to_contain) return;
  if (keys.source != ErrorSource::volume || keys.left_behind) return;
  keys.left_behind = film_mL(keys.value);
  keys.u_left_behind = 0.5 * *keys.left_behind;
}

AmountKeys keys_of(const Contents& contents, const Sheet& sheet) {
  const Instrument* const instrument =
      contents.instrument ? &sheet.instruments[*contents.instrument] : nullptr;
  if (contents.volume_mL) {
    return {ErrorSource::volume,
            "volume",
            *contents.volume_mL,
            contents.u_volume_mL,
            instrument != nullptr ? instrument->u_volume_mL : std::nullopt,
            contents.left_behind_mL,
            contents.u_left_behind_mL};
  }
  return {ErrorSource::mass,
          "mass",
          contents.mass_g.value_or(0.0),
          contents.u_mass_g,
          instrument != nullptr ? instrument->u_mass_g : std::nullopt,
          contents.left_behind_g,
          contents.u_left_behind_g};
}

/// What one mol of the dissolved substance gives.
std::vector<SpeciesAmount> particles_of(const Formula& substance) {
  std::vector<SpeciesAmount> amounts;
  for (const Particle& particle : dissociated(in_phase(substance, Phase::aqueous))) {
    auto species = dissolved_species(particle.species);
    if (species) amounts.push_back({std::move(species).value(), double(particle.count)});
  }
  return amounts;
}

/// Any amount of a stock of this strength.
std::optional<Solution> liquid_of(const Stock& stock, const std::vector<SpeciesAmount>& particles,
                                  double strength, const LiquidConvention& convention) {
  if (!(strength >= 0.0)) return std::nullopt;
  std::vector<SpeciesAmount> amounts = particles;
  if (stock.concentration_mol_per_L) {
    for (SpeciesAmount& amount : amounts) amount.mol *= strength;
  }
  auto made = stock.concentration_mol_per_L
                  ? Solution::of_concentrations(amounts, volumetric_degC, convention)
                  : Solution::of_mass_fraction(amounts, strength, convention);
  if (!made) return std::nullopt;
  return std::move(made).value();
}

Solution so_much(const Solution& solution, bool by_volume, double amount, double degC) {
  return by_volume ? solution.with_volume_mL(amount, degC) : solution.with_mass_g(amount);
}

Mixture of_stock(const Contents& contents, const AmountContext& context, Inputs& inputs) {
  const Stock& stock = context.sheet.stocks[*contents.stock];
  const LiquidConvention convention = liquid_convention(context.sheet.conventions);
  const auto particles = particles_of(stock.substance);
  const std::array<Measured, 3> arguments{amount_taken(contents, context, inputs).taken(),
                                          strength_of(stock, inputs),
                                          read_at_degC(contents, context)};
  const auto property = [&](auto&& of) {
    return propagate(arguments, [&](std::span<const double> at) {
      const auto solution = liquid_of(stock, particles, at[1], convention);
      if (!solution || !(at[0] > 0.0)) return std::nan("");
      return double(of(so_much(*solution, contents.volume_mL.has_value(), at[0], at[2])));
    });
  };
  Mixture mixture;
  mixture.water_g = property([](const Solution& solution) { return solution.water_g(); });
  for (const SpeciesAmount& particle : particles) {
    const std::string& name = particle.species.text;
    if (particle.species.kind == DissolvedSpecies::Kind::water) continue;
    mixture.dissolved_mol[name] =
        property([&](const Solution& solution) { return solution.amount_mol(name); });
  }
  return mixture;
}

}  // namespace

AmountTaken amount_taken(const Contents& contents, const AmountContext& context, Inputs& inputs) {
  AmountKeys keys = keys_of(contents, context.sheet);
  leave_film(keys,
             contents.instrument ? &context.sheet.instruments[*contents.instrument] : nullptr);
  AmountTaken amount{keys.value, keys.left_behind.value_or(0.0)};
  if (keys.u_own) {
    const InputId own =
        inputs.add({keys.unit + " in " + context.place + ", " + context.run, keys.source, {}});
    amount.read += Measured::of(0.0, own, *keys.u_own);
  }
  if (keys.u_shared) {
    const std::string name =
        keys.unit + " by " + context.sheet.instruments[*contents.instrument].name;
    amount.read += Measured::of(0.0, inputs.shared(name, {name, keys.source, {}}), *keys.u_shared);
  }
  if (keys.u_left_behind) {
    const std::string name = "left behind from " + context.place;
    const InputId repeated = inputs.of_trial(name, {name, ErrorSource::left_behind, {}});
    amount.left_behind -= Measured::of(0.0, repeated, *keys.u_left_behind);
  }
  return amount;
}

Measured strength_of(const Stock& stock, Inputs& inputs) {
  const std::string name = "strength of " + stock.name;
  const InputId shared = inputs.shared(name, {name, ErrorSource::concentration, {}});
  return stock.concentration_mol_per_L ? Measured::of(*stock.concentration_mol_per_L, shared,
                                                      stock.u_concentration_mol_per_L.value_or(0.0))
                                       : Measured::of(stock.mass_fraction.value_or(0.0), shared,
                                                      stock.u_mass_fraction.value_or(0.0));
}

std::optional<Solution> stock_solution(const Stock& stock,
                                       const std::optional<Conventions>& conventions) {
  const double strength = stock.concentration_mol_per_L.value_or(stock.mass_fraction.value_or(0.0));
  return liquid_of(stock, particles_of(stock.substance), strength, liquid_convention(conventions));
}

Measured read_at_degC(const Contents& contents, const AmountContext& context) {
  return contents.read_at_degC ? Measured(*contents.read_at_degC) : context.read_degC;
}

Mixture mixture_of(const Contents& contents, const AmountContext& context, Inputs& inputs) {
  if (contents.stock) return of_stock(contents, context, inputs);
  const Measured amount = amount_taken(contents, context, inputs).taken();
  Mixture mixture;
  if (!contents.substance) {
    mixture.unnamed_g = amount;
  } else if (contents.substance->text == "H2O(l)") {
    const LiquidConvention convention = liquid_convention(context.sheet.conventions);
    const std::array<Measured, 2> arguments{amount, read_at_degC(contents, context)};
    mixture.water_g =
        !contents.volume_mL ? amount : propagate(arguments, [&](std::span<const double> at) {
          const Solution gram = Solution::water(1.0, convention);
          return at[0] * gram.density_g_per_mL(at[1]);
        });
  } else {
    const double g_per_mol = molar_mass_g_per_mol(*contents.substance).value;
    mixture.solids[contents.substance->text] = {*contents.substance, amount / g_per_mol};
  }
  return mixture;
}

}  // namespace nestcup
