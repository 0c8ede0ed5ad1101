#include "core/classroom/between_within.hpp"

#include <algorithm>
#include <boost/math/distributions/fisher_f.hpp>
#include <cmath>

namespace nestcup {

namespace {

double mean_of(const std::vector<double>& values) {
  double sum = 0.0;
  for (const double value : values) sum += value;
  return sum / static_cast<double>(values.size());
}

/// How probable so large a ratio of mean squares is by chance.
double probability_of(const BetweenWithin& found) {
  const double between = found.squares_between / found.dof_between;
  const double within = found.squares_within / found.dof_within;
  if (within <= 0.0) return between > 0.0 ? 0.0 : 1.0;
  const boost::math::fisher_f by_chance(found.dof_between, found.dof_within);
  return boost::math::cdf(complement(by_chance, between / within));
}

}  // namespace

std::optional<BetweenWithin> between_within(std::span<const std::vector<double>> groups) {
  double benches = 0.0, runs = 0.0, squared_runs = 0.0, sum = 0.0;
  for (const auto& group : groups) {
    if (group.empty()) continue;
    const double count = static_cast<double>(group.size());
    benches += 1.0;
    runs += count;
    squared_runs += count * count;
    sum += count * mean_of(group);
  }
  if (benches < 2.0 || runs <= benches) return std::nullopt;
  BetweenWithin found;
  found.mean = sum / runs;
  found.dof_between = benches - 1.0;
  found.dof_within = runs - benches;
  for (const auto& group : groups) {
    if (group.empty()) continue;
    const double mean = mean_of(group);
    found.squares_between +=
        static_cast<double>(group.size()) * (mean - found.mean) * (mean - found.mean);
    for (const double value : group) found.squares_within += (value - mean) * (value - mean);
  }
  const double within = found.squares_within / found.dof_within;
  const double between = found.squares_between / found.dof_between;
  const double usual_runs = (runs - squared_runs / runs) / found.dof_between;
  const double variance_between = std::max(0.0, (between - within) / usual_runs);
  found.repeatability_sd = std::sqrt(within);
  found.between_sd = std::sqrt(variance_between);
  found.reproducibility_sd = std::sqrt(within + variance_between);
  found.probability = probability_of(found);
  return found;
}

}  // namespace nestcup
