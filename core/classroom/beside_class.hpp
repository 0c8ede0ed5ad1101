// One bench's trials beside the class, as numbers. Internal to the room.
#pragma once

#include <Eigen/Cholesky>
#include <Eigen/Core>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/classroom/class_bench.hpp"
#include "core/classroom/class_quantity.hpp"
#include "core/classroom/suspect.hpp"

namespace nestcup {

/// The bench's trials under a supposition.
struct Supposition {
  Results results;
  std::vector<Measured> values;
  Eigen::VectorXd by;  ///< values less the class's
};

class BesideClass {
 public:
  /// @param place  of the bench in the class; trials with less than three benches are left out
  BesideClass(const ClassBench& bench, std::size_t place, const Results& results,
              std::span<const ClassQuantity> quantities);

  [[nodiscard]] const std::vector<std::string>& trials() const { return trials_; }
  [[nodiscard]] Eigen::Index size() const { return by_.size(); }
  /// Values less the class's, as they are.
  [[nodiscard]] const Eigen::VectorXd& by() const { return by_; }
  [[nodiscard]] bool is_outlying(Eigen::Index trial) const { return outlying_[std::size_t(trial)]; }
  [[nodiscard]] const Supposed& bench() const { return condensed_; }

  /// The same if the suspect had this value; nothing where a trial cannot be worked out then.
  [[nodiscard]] std::optional<Supposition> suppose(const Suspect& suspect, double value) const;

  /// What the deviations may be by what is stated and by the class's spread, tables and these
  /// inputs aside.
  [[nodiscard]] Eigen::MatrixXd covariance(const std::vector<std::string>& without) const;
  /// The same under a supposition: with half the strength an error of the cylinder counts twice.
  [[nodiscard]] Eigen::MatrixXd covariance(const Supposition& supposition,
                                           const std::vector<std::string>& without) const;

 private:
  [[nodiscard]] std::optional<Supposition> worked_out(const Supposed& bench) const;
  [[nodiscard]] Eigen::MatrixXd covariance_of(const std::vector<Measured>& values,
                                              const Inputs& inputs,
                                              const std::vector<std::string>& without) const;

  const Results& results_;
  Supposed condensed_;
  std::vector<std::string> trials_;
  std::vector<Measured> values_;
  std::vector<bool> outlying_;
  std::vector<double> more_variance_;  ///< of the class beyond what the bench states, and of x*
  Eigen::VectorXd by_;
  std::optional<Eigen::VectorXd> as_stated_;  ///< values of the condensed bench
};

/// d' V^-1 d.
[[nodiscard]] double chi_squared_of(const Eigen::LLT<Eigen::MatrixXd>& covariance,
                                    const Eigen::VectorXd& by);

}  // namespace nestcup
