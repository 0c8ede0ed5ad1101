#include "core/matter/net_change.hpp"

#include "core/matter/substances.hpp"

namespace nestcup {

namespace {

void add_side(const std::vector<Term>& terms, int sign, NetChange& change) {
  for (const Term& term : terms) {
    for (const Particle& particle : dissociated(term.species)) {
      change[particle.species.text] += term.coefficient * (sign * particle.count);
    }
  }
}

}  // namespace

NetChange net_change(const Equation& equation) {
  NetChange change;
  add_side(equation.right, 1, change);
  add_side(equation.left, -1, change);
  std::erase_if(change, [](const auto& entry) { return entry.second == 0; });
  return change;
}

std::optional<Rational> multiple_of(const NetChange& change, const NetChange& reference) {
  if (change.size() != reference.size() || change.empty()) return std::nullopt;
  std::optional<Rational> multiple;
  auto other = reference.begin();
  for (const auto& [species, amount] : change) {
    if (species != other->first) return std::nullopt;
    const Rational ratio = amount / other->second;
    if (multiple && ratio != *multiple) return std::nullopt;
    multiple = ratio;
    ++other;
  }
  return multiple;
}

}  // namespace nestcup
