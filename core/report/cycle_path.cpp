#include "core/report/cycle_path.hpp"

#include <algorithm>
#include <map>

namespace nestcup {

namespace {

/// Amounts by species.
using State = std::map<std::string, Rational>;

void add(State& state, const std::vector<Term>& side, const Rational& times) {
  for (const Term& term : side) state[term.species.text] += times * term.coefficient;
}

/// What a step makes less what it takes.
State change_by(const PathStep& step) {
  State change;
  add(change, step.equation.right, step.multiplier);
  add(change, step.equation.left, -step.multiplier);
  return change;
}

/// How much a step needs that is not there.
Rational lacking(const State& state, const State& change) {
  Rational sum = 0;
  for (const auto& [species, amount] : change) {
    const auto there = state.find(species);
    const Rational after = (there == state.end() ? Rational(0) : there->second) + amount;
    if (after < 0) sum -= after;
  }
  return sum;
}

std::string state_text(const State& state) {
  std::string text;
  for (const auto& [species, amount] : state) {
    if (amount == 0) continue;
    if (!text.empty()) text += " + ";
    if (amount != 1) text += rational_text(amount) + " ";
    text += species;
  }
  return text;
}

/// The order of the steps.
std::vector<std::size_t> ordered(const Equation& target, const std::vector<State>& changes) {
  State state;
  add(state, target.left, 1);
  std::vector<std::size_t> order;
  while (order.size() < changes.size()) {
    std::size_t best = changes.size();
    Rational best_lack = 0;
    for (std::size_t i = 0; i < changes.size(); ++i) {
      if (std::find(order.begin(), order.end(), i) != order.end()) continue;
      const Rational lack = lacking(state, changes[i]);
      if (best == changes.size() || lack < best_lack) {
        best = i;
        best_lack = lack;
      }
    }
    order.push_back(best);
    for (const auto& [species, amount] : changes[best]) {
      Rational& there = state[species];
      there += amount;
      if (there < 0) there = 0;
    }
  }
  return order;
}

}  // namespace

CyclePath cycle_path(const Equation& target, const std::vector<PathStep>& steps) {
  std::vector<State> changes;
  for (const PathStep& step : steps) changes.push_back(change_by(step));
  CyclePath path;
  path.order = ordered(target, changes);
  // What must be there from the start, so that nothing ever falls below zero.
  State start, running;
  add(start, target.left, 1);
  add(running, target.left, 1);
  for (const std::size_t step : path.order) {
    for (const auto& [species, amount] : changes[step]) {
      Rational& there = running[species];
      there += amount;
      if (there < 0) {
        start[species] -= there;
        there = 0;
      }
    }
  }
  State state = start;
  path.levels.push_back(state_text(state));
  for (const std::size_t step : path.order) {
    for (const auto& [species, amount] : changes[step]) state[species] += amount;
    path.levels.push_back(state_text(state));
  }
  return path;
}

}  // namespace nestcup
