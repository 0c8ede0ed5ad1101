#include "core/classroom/outlier_tests.hpp"

#include <algorithm>
#include <boost/math/distributions/beta.hpp>
#include <boost/math/distributions/students_t.hpp>
#include <cassert>
#include <cmath>
#include <numbers>
#include <numeric>

namespace nestcup {

namespace {

Standing standing_of(bool at_1_percent, bool at_5_percent) {
  if (at_1_percent) return Standing::outlier;
  return at_5_percent ? Standing::straggler : Standing::in_line;
}

double mean_of(std::span<const double> values) {
  return std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
}

double squares_about_mean(std::span<const double> values) {
  const double mean = mean_of(values);
  double sum = 0.0;
  for (const double value : values) sum += (value - mean) * (value - mean);
  return sum;
}

std::vector<std::size_t> by_rising_value(std::span<const double> values) {
  std::vector<std::size_t> order(values.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return values[a] < values[b]; });
  return order;
}

/// What is left of some values, with their places among all.
struct Rest {
  std::vector<double> values;
  std::vector<std::size_t> places;
};

Rest without(std::span<const double> values, const std::vector<Standing>& standings) {
  Rest rest;
  for (std::size_t i = 0; i < values.size(); ++i) {
    if (standings[i] == Standing::outlier) continue;
    rest.values.push_back(values[i]);
    rest.places.push_back(i);
  }
  return rest;
}

}  // namespace

double grubbs_critical(std::size_t count, double level) {
  assert(count >= 3);
  const double p = static_cast<double>(count);
  const boost::math::students_t student(p - 2.0);
  const double t = boost::math::quantile(complement(student, level / (2.0 * p)));
  return (p - 1.0) / std::sqrt(p) * std::sqrt(t * t / (p - 2.0 + t * t));
}

std::optional<OutlierTest> grubbs_one(std::span<const double> values) {
  const double count = static_cast<double>(values.size());
  if (values.size() < 3) return std::nullopt;
  const double sd = std::sqrt(squares_about_mean(values) / (count - 1.0));
  if (!(sd > 0.0)) return std::nullopt;
  const double mean = mean_of(values);
  const auto farthest = std::max_element(values.begin(), values.end(), [&](double a, double b) {
    return std::abs(a - mean) < std::abs(b - mean);
  });
  OutlierTest test;
  test.statistic = std::abs(*farthest - mean) / sd;
  test.which = {static_cast<std::size_t>(farthest - values.begin())};
  test.critical_1_percent = grubbs_critical(values.size(), outlier_level);
  test.critical_5_percent = grubbs_critical(values.size(), straggler_level);
  test.standing = standing_of(test.statistic > test.critical_1_percent,
                              test.statistic > test.critical_5_percent);
  return test;
}

double grubbs_two_critical(std::size_t count, double level) {
  assert(count >= 4);
  const double p = static_cast<double>(count);
  const double same_way = std::atan(std::sqrt(p / (p - 2.0))) / std::numbers::pi;
  const double pairs = p * (p - 1.0) / 2.0;
  return std::pow(level / (2.0 * pairs * same_way), 2.0 / (p - 3.0));
}

std::optional<OutlierTest> grubbs_two(std::span<const double> values) {
  if (values.size() < 4) return std::nullopt;
  const double all = squares_about_mean(values);
  if (!(all > 0.0)) return std::nullopt;
  const std::vector<std::size_t> order = by_rising_value(values);
  OutlierTest test;
  test.statistic = 2.0;
  for (const bool largest : {true, false}) {
    std::vector<std::size_t> pair =
        largest ? std::vector{order[order.size() - 1], order[order.size() - 2]}
                : std::vector{order[0], order[1]};
    std::vector<double> rest;
    for (std::size_t i = 0; i < values.size(); ++i) {
      if (i != pair[0] && i != pair[1]) rest.push_back(values[i]);
    }
    const double ratio = squares_about_mean(rest) / all;
    if (ratio >= test.statistic) continue;
    test.statistic = ratio;
    test.which = std::move(pair);
  }
  test.critical_1_percent = grubbs_two_critical(values.size(), outlier_level);
  test.critical_5_percent = grubbs_two_critical(values.size(), straggler_level);
  test.standing = standing_of(test.statistic < test.critical_1_percent,
                              test.statistic < test.critical_5_percent);
  return test;
}

std::vector<Standing> grubbs_standings(std::span<const double> values) {
  std::vector<Standing> standings(values.size(), Standing::in_line);
  const std::size_t at_most = values.size() / 3;
  std::size_t taken_out = 0;
  while (taken_out < at_most) {
    const Rest rest = without(values, standings);
    auto test = grubbs_one(rest.values);
    if (!test) break;
    if (test->standing != Standing::outlier && taken_out + 2 <= at_most) {
      const auto two = grubbs_two(rest.values);
      if (two && two->standing > test->standing) test = two;
    }
    for (const std::size_t which : test->which) standings[rest.places[which]] = test->standing;
    if (test->standing != Standing::outlier) break;
    taken_out += test->which.size();
  }
  return standings;
}

std::optional<OutlierTest> cochran(std::span<const Scatter> benches) {
  double squares = 0.0, dof = 0.0;
  for (const Scatter& bench : benches) {
    squares += bench.variance * bench.dof;
    dof += bench.dof;
  }
  if (benches.size() < 2 || !(squares > 0.0)) return std::nullopt;
  const double count = static_cast<double>(benches.size());
  OutlierTest test;
  double least = 2.0;
  for (std::size_t i = 0; i < benches.size(); ++i) {
    const Scatter& bench = benches[i];
    const boost::math::beta_distribution<double> share(bench.dof / 2.0, (dof - bench.dof) / 2.0);
    const double part = std::min(1.0, bench.variance * bench.dof / squares);
    const double probability = boost::math::cdf(complement(share, part));
    if (probability >= least) continue;
    least = probability;
    test.statistic = part;
    test.which = {i};
    test.critical_1_percent = boost::math::quantile(complement(share, outlier_level / count));
    test.critical_5_percent = boost::math::quantile(complement(share, straggler_level / count));
  }
  test.standing = standing_of(test.statistic > test.critical_1_percent,
                              test.statistic > test.critical_5_percent);
  return test;
}

}  // namespace nestcup
