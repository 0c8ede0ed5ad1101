#include "core/chemistry/heat_capacity.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <vector>

#include "core/matter/accepted_table.hpp"
#include "core/matter/solution.hpp"
#include "core/matter/water.hpp"

namespace nestcup {

namespace {

constexpr double table_relative_u = 0.02;
constexpr double kopp_relative_u = 0.10;

/// J/(mol K) that an atom brings in by Kopp's rule.
double by_kopp(const std::string& element) {
  static const std::map<std::string, double> light{{"H", 9.6},   {"B", 11.0}, {"C", 7.5},
                                                   {"Si", 16.0}, {"O", 17.0}, {"F", 21.0},
                                                   {"P", 23.0},  {"S", 23.0}};
  const auto found = light.find(element);
  return found == light.end() ? 26.0 : found->second;
}

/// The liquid part as something to evaluate again and again.
class Liquid {
 public:
  Liquid(const Mixture& mixture, const Measured& degC, const LiquidConvention& convention)
      : convention_(convention), arguments_{mixture.water_g, degC} {
    for (const auto& [name, mol] : mixture.dissolved_mol) {
      auto species = dissolved_species(std::string_view(name));
      if (!species) continue;
      species_.push_back({std::move(species).value(), 0.0});
      arguments_.push_back(mol);
      name_ += " " + name;
    }
  }

  [[nodiscard]] const std::vector<Measured>& arguments() const { return arguments_; }
  [[nodiscard]] const std::string& name() const { return name_; }

  /// Nothing where amounts are below zero beyond rounding.
  [[nodiscard]] std::optional<Solution> at(std::span<const double> values) const {
    if (!(values[0] > 0.0)) return std::nullopt;
    std::vector<SpeciesAmount> amounts = species_;
    for (std::size_t i = 0; i < amounts.size(); ++i) {
      const double mol = values[i + 2];
      if (mol < -1e-12) return std::nullopt;
      amounts[i].mol = std::max(mol, 0.0);
    }
    auto solution = Solution::of_amounts(amounts, values[0], convention_);
    if (!solution) return std::nullopt;
    return std::move(solution).value();
  }

 private:
  LiquidConvention convention_;
  std::vector<Measured> arguments_;
  std::vector<SpeciesAmount> species_;
  std::string name_;
};

Measured of_liquid_at(const Mixture& mixture, const Measured& degC,
                      const std::optional<Conventions>& conventions, Inputs& inputs,
                      HeatCapacityFlags& flags) {
  const Liquid liquid(mixture, degC, liquid_convention(conventions));
  std::vector<double> middle;
  for (const Measured& argument : liquid.arguments()) middle.push_back(argument.value());
  const auto solution = liquid.at(middle);
  if (!solution) return Measured{};
  const Measured from_amounts = propagate(liquid.arguments(), [&](std::span<const double> values) {
    const auto other = liquid.at(values);
    return other ? other->heat_capacity_J_per_K(values[1]) : std::nan("");
  });
  if (!conventions || !conventions->heat_capacity_J_per_g_K) {
    const LiquidFlags doubts = solution->flags(degC.value());
    flags |= {doubts.outside_strength || doubts.outside_temperature, doubts.is_estimate};
  }
  const std::string name = "heat capacity of water with" + liquid.name();
  const InputId table = inputs.shared(name, {name, ErrorSource::heat_capacity, {}});
  return from_amounts * Measured::of(1.0, table, solution->heat_capacity_relative_u(degC.value()));
}

Measured of_liquid(const Mixture& mixture, const Measured& from_degC, const Measured& to_degC,
                   const std::optional<Conventions>& conventions, Inputs& inputs,
                   HeatCapacityFlags& flags) {
  const auto at = [&](const Measured& degC) {
    return of_liquid_at(mixture, degC, conventions, inputs, flags);
  };
  return (at(from_degC) + 4.0 * at(0.5 * (from_degC + to_degC)) + at(to_degC)) / 6.0;
}

}  // namespace

LiquidConvention liquid_convention(const std::optional<Conventions>& conventions) {
  if (!conventions) return {};
  return {conventions->density_g_per_mL, conventions->heat_capacity_J_per_g_K};
}

HeatCapacityFlags& HeatCapacityFlags::operator|=(const HeatCapacityFlags& other) {
  extrapolated = extrapolated || other.extrapolated;
  estimated = estimated || other.estimated;
  return *this;
}

SolidHeatCapacity solid_heat_capacity(const Formula& species) {
  if (species.text == "H2O(s)") {
    return {ice_heat_capacity_J_per_g_K(0.0).value_or(0.0) * water_g_per_mol,
            ice_heat_capacity_relative_u};
  }
  const auto& table = accepted_table();
  if (table) {
    const auto& known = table->heat_capacity_J_per_mol_K;
    const auto found = known.find(species.text);
    if (found != known.end()) return {found->second, table_relative_u};
  }
  double sum = 0.0;
  for (const auto& [element, count] : species.atoms) sum += count * by_kopp(element);
  return {sum, kopp_relative_u, true};
}

Measured ice_J_per_g_K(const Measured& degC, Inputs& inputs) {
  const double tabulated =
      ice_heat_capacity_J_per_g_K(std::clamp(degC.value(), -100.0, 0.0)).value_or(0.0);
  const std::string name = "heat capacity of H2O(s)";
  const InputId input = inputs.shared(name, {name, ErrorSource::heat_capacity, {}});
  return tabulated * Measured::of(1.0, input, ice_heat_capacity_relative_u);
}

Measured heat_capacity_J_per_K(const Mixture& mixture, const Measured& from_degC,
                               const Measured& to_degC,
                               const std::optional<Conventions>& conventions, Inputs& inputs,
                               HeatCapacityFlags& flags) {
  Measured sum;
  if (mixture.water_g.value() > 0.0) {
    sum = of_liquid(mixture, from_degC, to_degC, conventions, inputs, flags);
  }
  for (const auto& [text, part] : mixture.solids) {
    if (part.mol.value() <= 1e-12) continue;
    const SolidHeatCapacity solid = solid_heat_capacity(part.species);
    flags.estimated = flags.estimated || solid.estimated;
    const std::string name = "heat capacity of " + text;
    const InputId table = inputs.shared(name, {name, ErrorSource::heat_capacity, {}});
    sum += solid.J_per_mol_K * part.mol * Measured::of(1.0, table, solid.relative_u);
  }
  return sum;
}

}  // namespace nestcup
