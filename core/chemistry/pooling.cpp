#include "core/chemistry/pooling.hpp"

#include <algorithm>
#include <boost/math/distributions/chi_squared.hpp>
#include <cassert>
#include <cmath>
#include <map>
#include <vector>

namespace nestcup {

namespace {

/// Variance of each repeat by inputs that no other repeat has.
std::vector<double> own_variances(std::span<const Measured> repeats) {
  std::map<InputId, int> uses;
  for (const Measured& repeat : repeats) {
    for (const Effect& effect : repeat.effects()) ++uses[effect.input];
  }
  std::vector<double> variances;
  for (const Measured& repeat : repeats) {
    double variance = 0.0;
    for (const Effect& effect : repeat.effects()) {
      if (uses[effect.input] == 1) variance += effect.by * effect.by;
    }
    variances.push_back(variance);
  }
  return variances;
}

/// Weights that add up to 1, from variances with `between` added to each.
std::vector<double> weights_of(const std::vector<double>& variances, double between) {
  const bool alike = std::any_of(variances.begin(), variances.end(),
                                 [&](double variance) { return variance + between <= 0.0; });
  std::vector<double> weights;
  double sum = 0.0;
  for (const double variance : variances) {
    weights.push_back(alike ? 1.0 : 1.0 / (variance + between));
    sum += weights.back();
  }
  for (double& weight : weights) weight /= sum;
  return weights;
}

/// Sum of squared distances from the weighted mean, each over its variance.
double chi_squared(std::span<const Measured> repeats, const std::vector<double>& variances,
                   double between) {
  const std::vector<double> weights = weights_of(variances, between);
  double mean = 0.0;
  for (std::size_t i = 0; i < repeats.size(); ++i) mean += weights[i] * repeats[i].value();
  double sum = 0.0;
  for (std::size_t i = 0; i < repeats.size(); ++i) {
    const double apart = repeats[i].value() - mean;
    if (apart != 0.0) sum += apart * apart / (variances[i] + between);
  }
  return sum;
}

/// The variance between repeats that brings chi-squared down to its expectation. Chi-squared falls
/// as it grows, and at the sum of the squared distances it is below.
double variance_between(std::span<const Measured> repeats, const std::vector<double>& variances) {
  const double expected = static_cast<double>(repeats.size() - 1);
  double low = 0.0;
  double high = 0.0;
  for (const Measured& repeat : repeats) {
    const double apart = repeat.value() - repeats.front().value();
    high += apart * apart;
  }
  for (int step = 0; step < 200 && high - low > 1e-12 * high; ++step) {
    const double middle = (low + high) / 2.0;
    (chi_squared(repeats, variances, middle) > expected ? low : high) = middle;
  }
  return high;
}

}  // namespace

Pooled pool(std::span<const Measured> repeats, const std::string& name, Inputs& inputs) {
  assert(!repeats.empty());
  Pooled pooled;
  const std::vector<double> variances = own_variances(repeats);
  const double dof = static_cast<double>(repeats.size() - 1);
  double between = 0.0;
  if (repeats.size() > 1) {
    pooled.chi_squared = chi_squared(repeats, variances, 0.0);
    const boost::math::chi_squared by_chance(dof);
    pooled.probability = std::isfinite(pooled.chi_squared)
                             ? boost::math::cdf(complement(by_chance, pooled.chi_squared))
                             : 0.0;
    if (pooled.probability < least_probability) between = variance_between(repeats, variances);
  }
  pooled.weights = weights_of(variances, between);
  pooled.mean = weighted_mean(repeats, pooled.weights);
  if (between > 0.0) {
    pooled.scatter = std::sqrt(between);
    double squares = 0.0;
    for (const double weight : pooled.weights) squares += weight * weight;
    const InputId input = inputs.add({"scatter of " + name, ErrorSource::scatter, dof});
    pooled.mean += Measured::of(0.0, input, std::sqrt(between * squares));
  }
  return pooled;
}

Measured weighted_mean(std::span<const Measured> values, std::span<const double> weights) {
  Measured mean;
  for (std::size_t i = 0; i < values.size(); ++i) mean += weights[i] * values[i];
  return mean;
}

}  // namespace nestcup
