// bench_afternoons [AFTERNOONS [SEED]]: how often the 95 % interval of a molar enthalpy and of a
// cycle's sum holds the truth, with what trials share and without.
#include <fmt/format.h>

#include <boost/math/distributions/binomial.hpp>
#include <boost/math/distributions/students_t.hpp>
#include <cmath>
#include <cstdlib>
#include <string>
#include <vector>

#include "tests/bench/afternoon.hpp"
#include "tests/bench/trial_result.hpp"

namespace {

using nestcup::bench::Afternoon;
using nestcup::bench::Outcome;

/// The factor of a 95 % interval for these degrees of freedom.
double factor_95(const nestcup::Uncertain& stated) {
  if (!stated.dof || *stated.dof > 1e6) return 1.959964;
  return boost::math::quantile(boost::math::students_t(*stated.dof), 0.975);
}

struct Row {
  const char* name;
  const char* unit;
  Outcome Afternoon::*outcome;
};

constexpr Row rows[] = {{"calorimeter constant", "J/K", &Afternoon::constant_J_per_K},
                        {"oxide, 25 degC", "kJ/mol", &Afternoon::oxide_kJ_per_mol},
                        {"metal, 25 degC", "kJ/mol", &Afternoon::metal_kJ_per_mol},
                        {"cycle", "kJ/mol", &Afternoon::cycle_kJ_per_mol}};

/// Prints the row. @return afternoons whose interval held the truth
int print(const Row& row, const std::vector<Afternoon>& afternoons) {
  int held = 0, held_alone = 0;
  std::vector<double> errors, over_u;
  double mean_u = 0.0;
  for (const Afternoon& afternoon : afternoons) {
    const Outcome& outcome = afternoon.*row.outcome;
    const double error = outcome.stated.value - outcome.truth;
    held += std::abs(error) <= factor_95(outcome.stated) * outcome.stated.u;
    held_alone += std::abs(error) <= 1.959964 * outcome.u_alone;
    errors.push_back(error);
    over_u.push_back(error / outcome.stated.u);
    mean_u += outcome.stated.u / static_cast<double>(afternoons.size());
  }
  const double count = static_cast<double>(afternoons.size());
  fmt::print("{:<22}{:>8.2f} %{:>14.2f} %{:>10.3f}{:>10.3f} {:<8}{:>10.2f}\n", row.name,
             100.0 * held / count, 100.0 * held_alone / count,
             nestcup::bench::root_mean_square(errors), mean_u, row.unit,
             nestcup::bench::root_mean_square(over_u));
  return held;
}

}  // namespace

int main(int count, char** words) {
  const int wanted = count > 1 ? std::atoi(words[1]) : 2000;
  const auto seed = count > 2 ? std::strtoull(words[2], nullptr, 10) : 5ULL;
  std::vector<Afternoon> afternoons;
  int lost = 0;
  for (int i = 0; i < wanted; ++i) {
    const auto afternoon = nestcup::bench::drawn_afternoon(seed * 1'000'000 + i);
    if (afternoon) {
      afternoons.push_back(*afternoon);
    } else {
      ++lost;
    }
  }
  fmt::print("{} afternoons of nine runs, seed {}, {} with a run that was not found\n\n", wanted,
             seed, lost);
  if (afternoons.empty()) return 1;
  fmt::print("{:<22}{:>10}{:>16}{:>10}{:>10} {:<8}{:>10}\n", "95 % interval of", "holds",
             "if not shared", "RMS", "mean u", "", "RMS/u");
  // So few are by chance outside of 93 to 97 % that fewer held, or more, is a fault.
  const double trials = static_cast<double>(afternoons.size());
  const double least = boost::math::quantile(boost::math::binomial(trials, 0.93), 0.001);
  const double most =
      boost::math::quantile(boost::math::complement(boost::math::binomial(trials, 0.97), 0.001));
  bool sound = true;
  for (const Row& row : rows) {
    const int held = print(row, afternoons);
    sound = sound && held >= least && held <= most;
  }
  return sound ? 0 : 1;
}
