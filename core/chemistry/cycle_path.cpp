#include "core/chemistry/cycle_path.hpp"

#include <algorithm>
#include <map>
#include <optional>
#include <utility>

#include "core/matter/net_change.hpp"
#include "core/matter/substances.hpp"

namespace nestcup {

namespace {

/// So many equations are tried in every order: 5040 ways.
constexpr std::size_t most_tried = 7;

using Amounts = std::map<std::string, Rational>;

/// The amounts that must be there at the start so that none is ever below zero.
Amounts start_of(const std::vector<Amounts>& changes, std::span<const std::size_t> order) {
  Amounts now, start;
  for (const std::size_t step : order) {
    for (const auto& [species, amount] : changes[step]) {
      now[species] += amount;
      Rational& needed = start[species];
      needed = std::max(needed, Rational(-now[species]));
    }
  }
  return start;
}

/// How much must be there, and of how many species.
std::pair<Rational, int> need_of(const Amounts& start) {
  std::pair<Rational, int> need{0, 0};
  for (const auto& [species, amount] : start) {
    need.first += amount;
    need.second += amount > 0 ? 1 : 0;
  }
  return need;
}

std::vector<std::size_t> best_order(const std::vector<Amounts>& changes,
                                    std::vector<std::size_t> order) {
  std::vector<std::size_t> best = order;
  std::optional<std::pair<Rational, int>> least;
  do {
    const auto needed = need_of(start_of(changes, order));
    if (!least || needed < *least) {
      least = needed;
      best = order;
    }
  } while (std::next_permutation(order.begin(), order.end()));
  return best;
}

/// Species in the order in which the way meets them.
std::vector<std::string> met_species(std::span<const Equation> equations,
                                     std::span<const Rational> multipliers,
                                     std::span<const std::size_t> order) {
  std::vector<std::string> met;
  const auto meet = [&](const std::vector<Term>& side) {
    for (const Term& term : side) {
      for (const Particle& particle : dissociated(term.species)) {
        const std::string& name = particle.species.text;
        if (std::find(met.begin(), met.end(), name) == met.end()) met.push_back(name);
      }
    }
  };
  for (const std::size_t step : order) {
    const bool forwards = multipliers[step] > 0;
    meet(forwards ? equations[step].left : equations[step].right);
    meet(forwards ? equations[step].right : equations[step].left);
  }
  return met;
}

std::string level_text(const std::vector<std::string>& met, Amounts& amounts) {
  std::string text;
  for (const std::string& species : met) {
    const Rational& amount = amounts[species];
    if (amount == 0) continue;
    if (!text.empty()) text += " + ";
    if (amount != 1) text += rational_text(amount) + " ";
    text += species;
  }
  return text;
}

}  // namespace

CyclePath cycle_path(std::span<const Equation> equations, std::span<const Rational> multipliers) {
  std::vector<Amounts> changes;
  CyclePath path;
  for (std::size_t i = 0; i < equations.size(); ++i) {
    changes.push_back(net_change(equations[i]));
    for (auto& [species, amount] : changes.back()) amount *= multipliers[i];
    if (multipliers[i] != 0) path.order.push_back(i);
  }
  if (path.order.size() <= most_tried) {
    path.order = best_order(changes, std::move(path.order));
  } else {
    std::stable_partition(path.order.begin(), path.order.end(),
                          [&](std::size_t step) { return multipliers[step] > 0; });
  }
  const std::vector<std::string> met = met_species(equations, multipliers, path.order);
  Amounts amounts = start_of(changes, path.order);
  path.levels.push_back(level_text(met, amounts));
  for (const std::size_t step : path.order) {
    for (const auto& [species, amount] : changes[step]) amounts[species] += amount;
    path.levels.push_back(level_text(met, amounts));
  }
  return path;
}

}  // namespace nestcup
