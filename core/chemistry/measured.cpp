#include "core/chemistry/measured.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <set>

namespace nestcup {

namespace {

/// Sum of two lists of effects, each times its slope. Both lists are by rising input.
std::vector<Effect> merged(const std::vector<Effect>& a, double slope_a,
                           const std::vector<Effect>& b, double slope_b) {
  std::vector<Effect> sum;
  sum.reserve(a.size() + b.size());
  auto left = a.begin();
  auto right = b.begin();
  while (left != a.end() || right != b.end()) {
    const bool from_left = right == b.end() || (left != a.end() && left->input <= right->input);
    const bool from_right = left == a.end() || (right != b.end() && right->input <= left->input);
    Effect effect{from_left ? left->input : right->input, 0.0};
    if (from_left) effect.by += slope_a * (left++)->by;
    if (from_right) effect.by += slope_b * (right++)->by;
    if (effect.by != 0.0) sum.push_back(effect);
  }
  return sum;
}

double effect_of(const Measured& measured, InputId input) {
  const auto& effects = measured.effects();
  const auto found =
      std::lower_bound(effects.begin(), effects.end(), input,
                       [](const Effect& effect, InputId wanted) { return effect.input < wanted; });
  return found != effects.end() && found->input == input ? found->by : 0.0;
}

/// Half of what a function changes by from below to above; from one side where the other is beyond
/// what it is defined for.
double half_difference(double below, double middle, double above) {
  if (std::isfinite(below) && std::isfinite(above)) return (above - below) / 2.0;
  if (std::isfinite(above)) return above - middle;
  return std::isfinite(below) ? middle - below : 0.0;
}

}  // namespace

Measured Measured::of(double value, InputId input, double u) {
  Measured measured(value);
  if (u > 0.0) measured.effects_.push_back({input, u});
  return measured;
}

double Measured::variance() const {
  return covariance(*this, *this);
}

double Measured::u() const {
  return std::sqrt(variance());
}

Measured& Measured::operator+=(const Measured& other) {
  effects_ = merged(effects_, 1.0, other.effects_, 1.0);
  value_ += other.value_;
  return *this;
}

Measured& Measured::operator-=(const Measured& other) {
  return *this += -other;
}

Measured& Measured::operator*=(const Measured& other) {
  effects_ = merged(effects_, other.value_, other.effects_, value_);
  value_ *= other.value_;
  return *this;
}

Measured& Measured::operator/=(const Measured& other) {
  const double quotient = value_ / other.value_;
  effects_ = merged(effects_, 1.0 / other.value_, other.effects_, -quotient / other.value_);
  value_ = quotient;
  return *this;
}

Measured Measured::operator-() const {
  Measured negative = *this;
  negative.value_ = -value_;
  for (Effect& effect : negative.effects_) effect.by = -effect.by;
  return negative;
}

Measured propagate(std::span<const Measured> arguments,
                   const std::function<double(std::span<const double>)>& f) {
  std::vector<double> middle;
  std::set<InputId> inputs;
  for (const Measured& argument : arguments) {
    middle.push_back(argument.value());
    for (const Effect& effect : argument.effects()) inputs.insert(effect.input);
  }
  Measured result(f(middle));
  for (const InputId input : inputs) {
    std::vector<double> above = middle;
    std::vector<double> below = middle;
    for (std::size_t i = 0; i < arguments.size(); ++i) {
      const double by = effect_of(arguments[i], input);
      above[i] += by;
      below[i] -= by;
    }
    const double by = half_difference(f(below), result.value_, f(above));
    if (by != 0.0) result.effects_.push_back({input, by});
  }
  return result;
}

Measured propagate(const Measured& argument, const std::function<double(double)>& f) {
  const std::array<Measured, 1> arguments{argument};
  return propagate(arguments, [&](std::span<const double> at) { return f(at[0]); });
}

double covariance(const Measured& a, const Measured& b) {
  double sum = 0.0;
  auto right = b.effects().begin();
  for (const Effect& left : a.effects()) {
    while (right != b.effects().end() && right->input < left.input) ++right;
    if (right == b.effects().end()) break;
    if (right->input == left.input) sum += left.by * right->by;
  }
  return sum;
}

Uncertain uncertain(const Measured& measured, const Inputs& inputs) {
  const double variance = measured.variance();
  double fourth_powers = 0.0;
  for (const Effect& effect : measured.effects()) {
    const auto& dof = inputs[effect.input].dof;
    if (dof) fourth_powers += std::pow(effect.by, 4) / *dof;
  }
  Uncertain result{measured.value(), std::sqrt(variance)};
  if (fourth_powers > 0.0) result.dof = variance * variance / fourth_powers;
  return result;
}

std::vector<SourceShare> budget(const Measured& measured, const Inputs& inputs) {
  std::map<ErrorSource, double> variances;
  for (const Effect& effect : measured.effects()) {
    variances[inputs[effect.input].source] += effect.by * effect.by;
  }
  std::vector<SourceShare> shares;
  for (const auto& [source, variance] : variances) shares.push_back({source, std::sqrt(variance)});
  std::stable_sort(shares.begin(), shares.end(),
                   [](const SourceShare& a, const SourceShare& b) { return a.u > b.u; });
  return shares;
}

}  // namespace nestcup
