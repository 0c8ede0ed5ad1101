#include "core/classroom/class_quantity.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "core/classroom/quantity_values.hpp"

namespace nestcup {

namespace {

constexpr double k = 2.0;

std::vector<double> values_of(const ClassQuantity& quantity) {
  std::vector<double> values;
  for (const BenchValue& bench : quantity.benches) values.push_back(bench.value.value());
  return values;
}

std::vector<std::vector<double>> runs_of(const ClassQuantity& quantity) {
  std::vector<std::vector<double>> groups;
  for (const BenchValue& bench : quantity.benches) {
    std::vector<double> group;
    for (const auto& [run, value] : bench.runs) group.push_back(value);
    groups.push_back(std::move(group));
  }
  return groups;
}

/// The scatter of each bench that has two runs or more, and which bench that is.
void test_scatter(ClassQuantity& quantity, std::span<const std::vector<double>> groups) {
  std::vector<Scatter> scatters;
  std::vector<std::size_t> places;
  for (std::size_t i = 0; i < groups.size(); ++i) {
    if (groups[i].size() < 2) continue;
    double mean = 0.0, squares = 0.0;
    const double count = static_cast<double>(groups[i].size());
    for (const double value : groups[i]) mean += value / count;
    for (const double value : groups[i]) squares += (value - mean) * (value - mean);
    scatters.push_back({squares / (count - 1.0), count - 1.0});
    places.push_back(i);
  }
  quantity.cochran = cochran(scatters);
  if (!quantity.cochran) return;
  for (std::size_t& which : quantity.cochran->which) {
    which = places[which];
    quantity.benches[which].scatter = quantity.cochran->standing;
  }
}

/// From so many benches on, one among them does not draw the robust mean to itself.
constexpr std::size_t many_benches = 20;

/// E_n of a bench beside all others. The u of their robust mean is that of its spread, and at least
/// what they state of themselves.
std::optional<double> agreement(const ClassQuantity& quantity, std::size_t bench) {
  std::vector<double> others;
  double variance = 0.0;
  const bool is_many = quantity.benches.size() >= many_benches;
  for (std::size_t i = 0; i < quantity.benches.size(); ++i) {
    if (i == bench && !is_many) continue;
    others.push_back(quantity.benches[i].value.value());
    variance += quantity.benches[i].u_own * quantity.benches[i].u_own;
  }
  if (others.empty()) return std::nullopt;
  const double count = static_cast<double>(others.size());
  RobustFigures robust{others.front(), 0.0, 0.0};
  if (is_many) {
    robust = *quantity.robust;
  } else if (others.size() > 1) {
    robust = algorithm_a(others);
  }
  const double u_others = std::max(robust.u_mean, std::sqrt(variance) / count);
  const BenchValue& mine = quantity.benches[bench];
  const double u = std::hypot(mine.u_own, u_others);
  if (!(u > 0.0)) return std::nullopt;
  return (mine.value.value() - robust.mean) / (k * u);
}

void place_benches(ClassQuantity& quantity, const std::vector<double>& values) {
  const std::vector<Standing> standings = grubbs_standings(values);
  const std::size_t count = quantity.benches.size();
  for (std::size_t i = 0; i < count; ++i) {
    BenchValue& bench = quantity.benches[i];
    bench.grubbs = standings[i];
    bench.E_n = agreement(quantity, i);
    if (count < 3 || !(quantity.robust->sd > 0.0)) continue;
    bench.z = (values[i] - quantity.robust->mean) / quantity.robust->sd;
    bench.far = count >= least_benches_for_z && std::abs(*bench.z) > farthest_z;
  }
}

/// Runs of benches that are no outliers: what ISO 5725-2 takes s_r and s_R from.
std::vector<std::vector<double>> runs_in_line(const ClassQuantity& quantity) {
  std::vector<std::vector<double>> groups = runs_of(quantity);
  for (std::size_t i = 0; i < groups.size(); ++i) {
    const BenchValue& bench = quantity.benches[i];
    if (bench.is_outlying() || bench.scatter == Standing::outlier) groups[i].clear();
  }
  return groups;
}

/// The accepted value where all benches have the same.
void place_accepted(ClassQuantity& quantity, const std::vector<std::optional<Comparison>>& all) {
  if (all.empty() || !all.front()) return;
  const Comparison& first = *all.front();
  for (const auto& other : all) {
    if (!other || other->source != first.source ||
        other->kJ_per_mol.value() != first.kJ_per_mol.value()) {
      return;
    }
  }
  AcceptedFigure figure{{first.kJ_per_mol.value(), first.kJ_per_mol.u()}, first.source, {}};
  if (quantity.robust) {
    const double u = std::hypot(quantity.robust->u_mean, quantity.u_tables, figure.value.u);
    if (u > 0.0) figure.E_n = (quantity.robust->mean - figure.value.value) / (k * u);
  }
  quantity.accepted = figure;
}

void work_out(ClassQuantity& quantity, const std::vector<std::optional<Comparison>>& accepted) {
  const std::vector<double> values = values_of(quantity);
  const auto groups = runs_of(quantity);
  double sum = 0.0;
  std::vector<double> of_tables;
  for (const BenchValue& bench : quantity.benches) {
    sum += bench.value.value();
    quantity.runs += bench.runs.size();
    of_tables.push_back(
        std::sqrt(std::max(0.0, bench.value.variance() - bench.u_own * bench.u_own)));
  }
  quantity.mean = sum / static_cast<double>(values.size());
  quantity.median = median_of(values);
  quantity.u_tables = median_of(of_tables);
  if (values.size() > 1) {
    quantity.robust = algorithm_a(values);
    quantity.spread = between_within(groups);
    quantity.grubbs_one = grubbs_one(values);
    quantity.grubbs_two = grubbs_two(values);
    test_scatter(quantity, groups);
    place_benches(quantity, values);
    quantity.spread_in_line = between_within(runs_in_line(quantity));
  }
  place_accepted(quantity, accepted);
}

int order_of(QuantityKind kind) {
  return static_cast<int>(kind);
}

}  // namespace

const BenchValue* ClassQuantity::of(std::size_t bench) const {
  const auto found = std::find_if(benches.begin(), benches.end(),
                                  [&](const BenchValue& value) { return value.bench == bench; });
  return found == benches.end() ? nullptr : &*found;
}

bool is_of_tables(const Input& input) {
  return input.source == ErrorSource::heat_capacity || input.source == ErrorSource::accepted;
}

double u_without_tables(const Measured& value, const Inputs& inputs) {
  double variance = 0.0;
  for (const Effect& effect : value.effects()) {
    if (!is_of_tables(inputs[effect.input])) variance += effect.by * effect.by;
  }
  return std::sqrt(variance);
}

std::vector<ClassQuantity> class_quantities(
    std::span<const std::pair<const Sheet*, const Results*>> worked) {
  std::vector<ClassQuantity> quantities;
  std::vector<std::vector<std::optional<Comparison>>> accepted;
  for (std::size_t bench = 0; bench < worked.size(); ++bench) {
    const auto& [sheet, results] = worked[bench];
    for (FoundValue& found : found_values(*sheet, *results)) {
      const auto known =
          std::find_if(quantities.begin(), quantities.end(),
                       [&](const ClassQuantity& other) { return other.name == found.name; });
      const auto place = static_cast<std::size_t>(known - quantities.begin());
      if (known == quantities.end()) {
        quantities.emplace_back().name = found.name;
        accepted.emplace_back();
      }
      quantities[place].benches.push_back({bench,
                                           found.value,
                                           uncertain(found.value, results->inputs),
                                           u_without_tables(found.value, results->inputs),
                                           std::move(found.runs),
                                           {},
                                           {}});
      accepted[place].push_back(found.accepted);
    }
  }
  for (std::size_t i = 0; i < quantities.size(); ++i) work_out(quantities[i], accepted[i]);
  std::stable_sort(quantities.begin(), quantities.end(),
                   [](const ClassQuantity& a, const ClassQuantity& b) {
                     return order_of(a.name.kind) < order_of(b.name.kind);
                   });
  return quantities;
}

}  // namespace nestcup
