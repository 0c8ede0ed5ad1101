#include "core/classroom/beside_class.hpp"

#include <algorithm>
#include <cmath>

#include "core/chemistry/main_value.hpp"
#include "core/classroom/quantity_values.hpp"

namespace nestcup {

namespace {

constexpr std::size_t least_benches = 3;

/// Without what all benches share and what is looked at.
Measured own_part(const Measured& value, const Inputs& inputs,
                  const std::vector<std::string>& without) {
  Measured own(value.value());
  for (const Effect& effect : value.effects()) {
    const Input& input = inputs[effect.input];
    const bool left_out = is_of_tables(input) ||
                          std::find(without.begin(), without.end(), input.name) != without.end();
    if (!left_out) own += Measured::of(0.0, effect.input, 1.0) * effect.by;
  }
  return own;
}

}  // namespace

BesideClass::BesideClass(const ClassBench& bench, std::size_t place, const Results& results,
                         std::span<const ClassQuantity> quantities)
    : results_(results), condensed_(condensed(*bench.sheet, facts_of(bench))) {
  std::vector<double> by;
  for (const ClassQuantity& quantity : quantities) {
    if (quantity.name.kind != QuantityKind::trial || quantity.benches.size() < least_benches) {
      continue;
    }
    const BenchValue* const mine = quantity.of(place);
    if (mine == nullptr) continue;
    const RobustFigures& robust = *quantity.robust;
    trials_.push_back(quantity.name.trial);
    values_.push_back(mine->value);
    outlying_.push_back(mine->is_outlying());
    by.push_back(mine->value.value() - robust.mean);
    more_variance_.push_back(std::max(0.0, robust.sd * robust.sd - mine->u_own * mine->u_own) +
                             robust.u_mean * robust.u_mean);
  }
  by_ = Eigen::Map<const Eigen::VectorXd>(by.data(), static_cast<Eigen::Index>(by.size()));
  if (const auto stated = worked_out(condensed_)) as_stated_ = stated->by;
}

std::optional<Supposition> BesideClass::worked_out(const Supposed& bench) const {
  Supposition supposition{work_out(bench.sheet, bench.runs), {}, Eigen::VectorXd(by_.size())};
  for (std::size_t i = 0; i < trials_.size(); ++i) {
    const auto& trials = supposition.results.trials;
    const auto found = std::find_if(trials.begin(), trials.end(), [&](const TrialResult& trial) {
      return trial.name == trials_[i];
    });
    auto value = found == trials.end() ? std::nullopt : main_value(*found);
    if (!value || !std::isfinite(value->value())) return std::nullopt;
    supposition.by[static_cast<Eigen::Index>(i)] = value->value();
    supposition.values.push_back(std::move(*value));
  }
  return supposition;
}

std::optional<Supposition> BesideClass::suppose(const Suspect& suspect, double value) const {
  if (!as_stated_) return std::nullopt;
  auto supposition = worked_out(supposing(condensed_, suspect, value));
  if (!supposition) return std::nullopt;
  supposition->by += by_ - *as_stated_;
  return supposition;
}

Eigen::MatrixXd BesideClass::covariance(const std::vector<std::string>& without) const {
  return covariance_of(values_, results_.inputs, without);
}

Eigen::MatrixXd BesideClass::covariance(const Supposition& supposition,
                                        const std::vector<std::string>& without) const {
  return covariance_of(supposition.values, supposition.results.inputs, without);
}

Eigen::MatrixXd BesideClass::covariance_of(const std::vector<Measured>& values,
                                           const Inputs& inputs,
                                           const std::vector<std::string>& without) const {
  std::vector<Measured> own;
  for (const Measured& value : values) own.push_back(own_part(value, inputs, without));
  Eigen::MatrixXd matrix(by_.size(), by_.size());
  for (Eigen::Index i = 0; i < by_.size(); ++i) {
    for (Eigen::Index j = 0; j < by_.size(); ++j) {
      matrix(i, j) = nestcup::covariance(own[std::size_t(i)], own[std::size_t(j)]);
    }
    // Benches that state nothing and agree to the last digit leave nothing to divide by.
    const double least = std::pow(1e-9 * values[std::size_t(i)].value(), 2) + 1e-300;
    matrix(i, i) += std::max(least, more_variance_[std::size_t(i)]);
  }
  return matrix;
}

double chi_squared_of(const Eigen::LLT<Eigen::MatrixXd>& covariance, const Eigen::VectorXd& by) {
  return covariance.matrixL().solve(by).squaredNorm();
}

}  // namespace nestcup
