#include "core/matter/formation_sum.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <set>

namespace nestcup {

namespace {

bool holds(const std::vector<std::string>& list, const std::string& text) {
  return std::find(list.begin(), list.end(), text) != list.end();
}

const AcceptedBase* base_named(const AcceptedTable& table, const std::string& name) {
  for (const AcceptedBase& base : table.bases) {
    if (base.name == name) return &base;
  }
  return nullptr;
}

FormationSum sum_over(const AcceptedTable& table, const NetChange& change, const Bases& order) {
  FormationSum sum;
  std::set<const AcceptedBase*> used;
  double variance = 0.0;
  bool every_u_known = true;
  for (const auto& entry : change) {
    const std::string& species = entry.first;
    const double amount = to_double(entry.second);
    if (holds(table.zero, species)) continue;
    const auto has = [&species = species](const AcceptedBase* base) {
      return base->formation.contains(species);
    };
    const auto base = std::find_if(order.begin(), order.end(), has);
    if (base == order.end()) {
      sum.missing.push_back(species);
      continue;
    }
    used.insert(*base);
    const AcceptedValue& value = (*base)->formation.at(species);
    sum.value.kJ_per_mol += amount * value.kJ_per_mol;
    sum.parts.push_back(
        {fmt::format("formation of {} ({})", species, (*base)->name), entry.second, value});
    every_u_known = every_u_known && value.u_kJ_per_mol.has_value();
    variance += std::pow(amount * value.u_kJ_per_mol.value_or(0.0), 2);
  }
  if (every_u_known) sum.value.u_kJ_per_mol = std::sqrt(variance);
  std::copy_if(order.begin(), order.end(), std::back_inserter(sum.used),
               [&](const AcceptedBase* base) { return used.contains(base); });
  return sum;
}

/// A base and those that it is consistent with.
Bases with_its_own(const AcceptedTable& table, const AcceptedBase& base) {
  Bases order{&base};
  for (const std::string& name : base.completed_by) {
    if (const AcceptedBase* const other = base_named(table, name)) order.push_back(other);
  }
  return order;
}

/// A base and then all others.
Bases with_all(const AcceptedTable& table, const AcceptedBase* first) {
  Bases order;
  if (first != nullptr) order = with_its_own(table, *first);
  for (const AcceptedBase& base : table.bases) {
    if (std::find(order.begin(), order.end(), &base) == order.end()) order.push_back(&base);
  }
  return order;
}

}  // namespace

std::vector<FormationSum> consistent_sums(const AcceptedTable& table, const NetChange& change) {
  std::vector<FormationSum> sums;
  std::set<std::set<const AcceptedBase*>> seen;
  for (const AcceptedBase& base : table.bases) {
    FormationSum sum = sum_over(table, change, with_its_own(table, base));
    const std::set<const AcceptedBase*> used(sum.used.begin(), sum.used.end());
    if (!sum.missing.empty() || !(used.empty() || used.contains(&base))) continue;
    if (seen.insert(used).second) sums.push_back(std::move(sum));
  }
  return sums;
}

std::pair<FormationSum, bool> best_sum(const AcceptedTable& table, const NetChange& change,
                                       const std::vector<FormationSum>& consistent,
                                       const AcceptedBase* asked) {
  if (asked == nullptr) {
    if (!consistent.empty()) return {consistent.front(), false};
    return {sum_over(table, change, with_all(table, nullptr)), true};
  }
  FormationSum own = sum_over(table, change, with_its_own(table, *asked));
  if (own.missing.empty()) return {std::move(own), false};
  return {sum_over(table, change, with_all(table, asked)), true};
}

}  // namespace nestcup
