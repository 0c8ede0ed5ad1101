#include "core/chemistry/measured.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

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

}  // namespace

Measured Measured::of(double value, InputId input, double u) {
  Measured measured(value);
  if (u > 0.0) measured.effects_.push_back({input, u});
  return measured;
}

double Measured::variance() const { return covariance(*this, *this); }

double Measured::u() const { return std::sqrt(variance()); }

Measured& Measured::operator+=(const Measured& other) {
  effects_ = merged(effects_, 1.0, other.effects_, 1.0);
  value_ += other.value_;
  return *this;
}

Measured& Measured::operator-=(const Measured& other) { return *this += -other; }

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

Measured linear(double value, std::span<const Measured> parts, std::span<const double> slopes) {
  Measured sum(value);
  for (std::size_t i = 0; i < parts.size(); ++i) {
    sum.effects_ = merged(sum.effects_, 1.0, parts[i].effects_, slopes[i]);
  }
  return sum;
}

Measured apply(std::span<const Measured> arguments,
               const std::function<double(std::span<const double>)>& f) {
  std::vector<double> at;
  at.reserve(arguments.size());
  for (const Measured& argument : arguments) at.push_back(argument.value());
  const double value = f(at);
  std::vector<double> slopes(arguments.size(), 0.0);
  for (std::size_t i = 0; i < arguments.size(); ++i) {
    const double u = arguments[i].u();
    if (u == 0.0) continue;
    const double middle = at[i];
    at[i] = middle + u;
    const double above = f(at);
    at[i] = middle - u;
    slopes[i] = (above - f(at)) / (2.0 * u);
    at[i] = middle;
  }
  return linear(value, arguments, slopes);
}

Measured apply(const Measured& argument, const std::function<double(double)>& f) {
  const std::array<Measured, 1> arguments{argument};
  return apply(arguments, [&](std::span<const double> at) { return f(at[0]); });
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
