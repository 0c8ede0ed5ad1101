#include "core/chemistry/cycle.hpp"

#include <algorithm>
#include <map>

#include "core/matter/substances.hpp"

namespace nestcup {

namespace {

using Row = std::vector<Rational>;

/// Net amounts of an equation by species, electrolytes as their ions.
std::map<std::string, Rational> net_amounts(const Equation& equation) {
  std::map<std::string, Rational> net;
  const auto add = [&](const std::vector<Term>& side, int sign) {
    for (const Term& term : side) {
      for (const Particle& particle : dissociated(term.species)) {
        net[particle.species.text] += term.coefficient * particle.count * sign;
      }
    }
  };
  add(equation.left, -1);
  add(equation.right, 1);
  return net;
}

/// The equations as columns, the target behind them, and a unit matrix behind that: it keeps what
/// each row was made of.
struct Tableau {
  std::vector<std::string> species;
  std::vector<Row> rows;
  std::size_t unknowns = 0;
};

Tableau make_tableau(const Equation& target, std::span<const Equation> equations) {
  std::vector<std::map<std::string, Rational>> columns;
  for (const Equation& equation : equations) columns.push_back(net_amounts(equation));
  columns.push_back(net_amounts(target));
  std::map<std::string, std::size_t> index;
  for (const auto& column : columns) {
    for (const auto& [name, amount] : column) {
      if (amount != 0) index.emplace(name, 0);
    }
  }
  Tableau tableau;
  tableau.unknowns = equations.size();
  for (auto& [name, row] : index) {
    row = tableau.species.size();
    tableau.species.push_back(name);
  }
  tableau.rows.assign(index.size(), Row(columns.size() + index.size()));
  for (std::size_t column = 0; column < columns.size(); ++column) {
    for (const auto& [name, amount] : columns[column]) {
      if (amount != 0) tableau.rows[index[name]][column] = amount;
    }
  }
  for (std::size_t row = 0; row < index.size(); ++row) tableau.rows[row][columns.size() + row] = 1;
  return tableau;
}

void clear_column(Tableau& tableau, std::size_t pivot, std::size_t column) {
  const Row& from = tableau.rows[pivot];
  for (std::size_t row = 0; row < tableau.rows.size(); ++row) {
    if (row == pivot || tableau.rows[row][column] == 0) continue;
    const Rational factor = tableau.rows[row][column] / from[column];
    for (std::size_t i = 0; i < from.size(); ++i) tableau.rows[row][i] -= factor * from[i];
  }
}

/// Brings the unknowns' columns to one entry each; @return the column of each leading row.
std::vector<std::size_t> eliminate(Tableau& tableau) {
  std::vector<std::size_t> leads;
  for (std::size_t column = 0; column < tableau.unknowns; ++column) {
    const auto begin = tableau.rows.begin() + static_cast<std::ptrdiff_t>(leads.size());
    const auto pivot =
        std::find_if(begin, tableau.rows.end(), [&](const Row& row) { return row[column] != 0; });
    if (pivot == tableau.rows.end()) continue;
    std::iter_swap(begin, pivot);
    clear_column(tableau, leads.size(), column);
    leads.push_back(column);
  }
  return leads;
}

/// Species of the row that demands 0 = something; of several the shortest, which says most.
std::vector<std::string> contradiction(const Tableau& tableau, std::size_t first_row) {
  std::vector<std::string> shortest;
  for (std::size_t row = first_row; row < tableau.rows.size(); ++row) {
    if (tableau.rows[row][tableau.unknowns] == 0) continue;
    std::vector<std::string> names;
    for (std::size_t i = 0; i < tableau.species.size(); ++i) {
      if (tableau.rows[row][tableau.unknowns + 1 + i] != 0) names.push_back(tableau.species[i]);
    }
    if (shortest.empty() || names.size() < shortest.size()) shortest = std::move(names);
  }
  return shortest;
}

/// The equations that take part in some combination that comes to nothing.
std::vector<std::size_t> depending(const Tableau& tableau, const std::vector<std::size_t>& leads) {
  std::vector<std::size_t> found;
  for (std::size_t column = 0; column < tableau.unknowns; ++column) {
    if (std::find(leads.begin(), leads.end(), column) != leads.end()) continue;
    found.push_back(column);
    for (std::size_t row = 0; row < leads.size(); ++row) {
      if (tableau.rows[row][column] != 0) found.push_back(leads[row]);
    }
  }
  std::sort(found.begin(), found.end());
  found.erase(std::unique(found.begin(), found.end()), found.end());
  return found;
}

}  // namespace

CycleSolution solve_cycle(const Equation& target, std::span<const Equation> equations) {
  Tableau tableau = make_tableau(target, equations);
  const std::vector<std::size_t> leads = eliminate(tableau);
  CycleSolution solution;
  solution.left_over = contradiction(tableau, leads.size());
  if (!solution.left_over.empty()) return solution;
  if (leads.size() < tableau.unknowns) {
    solution.dependent = depending(tableau, leads);
    return solution;
  }
  for (std::size_t row = 0; row < leads.size(); ++row) {
    solution.multipliers.push_back(tableau.rows[row][tableau.unknowns] /
                                   tableau.rows[row][leads[row]]);
  }
  return solution;
}

}  // namespace nestcup
