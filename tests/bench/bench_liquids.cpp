// What the properties of liquids cost.
//
// bench_liquids [CALLS] prints one figure a line: name, value, unit. Nothing is judged.
#include <fmt/format.h>

#include <chrono>
#include <cstdlib>
#include <string>
#include <utility>
#include <vector>

#include "core/matter/solution.hpp"
#include "core/matter/water.hpp"

namespace nestcup::bench {
namespace {

using Amounts = std::vector<SpeciesAmount>;

Amounts amounts_of(const std::vector<std::pair<const char*, double>>& list) {
  Amounts amounts;
  for (const auto& [text, mol] : list) {
    if (auto species = dissolved_species(text)) amounts.push_back({*species, mol});
  }
  return amounts;
}

/// @param call  from a temperature (20 to 30 degC, another each time) to a number
template <class Call>
void time(const std::string& name, int calls, Call call) {
  using Clock = std::chrono::steady_clock;
  double sum = 0.0;
  const auto start = Clock::now();
  for (int i = 0; i < calls; ++i) sum += call(20.0 + 10.0 * i / calls);
  const std::chrono::duration<double, std::nano> took = Clock::now() - start;
  volatile double kept = sum;  // or the work would be left out
  (void)kept;
  fmt::print("liquids.{} {:.4g} ns\n", name, took.count() / calls);
}

int run(int calls) {
  const Amounts salt = amounts_of({{"Na+(aq)", 1.0}, {"Cl-(aq)", 1.0}});
  const Amounts after =
      amounts_of({{"Mg+2(aq)", 0.1}, {"H+(aq)", 0.6}, {"Na+(aq)", 0.2}, {"Cl-(aq)", 1.0}});
  const auto one = Solution::of_concentrations(salt);
  const auto three = Solution::of_concentrations(after);
  if (!one || !three) return 1;
  time("water.density", calls, [](double t) { return *water_density_g_per_mL(t); });
  time("water.heat_capacity", calls, [](double t) { return *water_heat_capacity_J_per_g_K(t); });
  time("water.wet_gas", calls, [](double t) { return *wet_gas_heat_kJ_per_mol(t); });
  time("one_salt.density", calls, [&](double t) { return one->density_g_per_mL(t); });
  time("one_salt.heat_capacity", calls, [&](double t) { return one->heat_capacity_J_per_g_K(t); });
  time("three_salts.density", calls, [&](double t) { return three->density_g_per_mL(t); });
  time("three_salts.heat_capacity", calls,
       [&](double t) { return three->heat_capacity_J_per_g_K(t); });
  time("one_salt.of_concentrations", calls / 10,
       [&](double t) { return Solution::of_concentrations(salt, t)->mass_g(); });
  time("three_salts.of_concentrations", calls / 10,
       [&](double t) { return Solution::of_concentrations(after, t)->mass_g(); });
  time("one_salt.of_amounts", calls / 10,
       [&](double t) { return Solution::of_amounts(salt, 1000.0 + t)->mass_g(); });
  return 0;
}

}  // namespace
}  // namespace nestcup::bench

int main(int argc, char** argv) {
  return nestcup::bench::run(argc > 1 ? std::atoi(argv[1]) : 1'000'000);
}
