// A data set of the NIST Statistical Reference Datasets, nonlinear regression, and the cost of a
// model of it as the damped search takes it.
#pragma once

#include <complex>
#include <string>

#include "core/analysis/course/damped_scoring.hpp"
#include "tests/catch.hpp"
#include "tests/reference/reference_table.hpp"

namespace nestcup {

using Complex = std::complex<double>;

/// Derivative of the complex step: Im f(x + i h) / h has no difference in it and is exact to
/// rounding for any small h (Squire and Trapp, SIAM Review 40 (1998) 110).
inline constexpr double complex_step = 1e-100;

/// What is published of a set with `Count` parameters.
template <int Count>
struct NistSet {
  using Vector = Eigen::Matrix<double, Count, 1>;
  ReferenceRows rows;  ///< predictors, then the response
  std::array<Vector, 2> starts;
  Vector certified, certified_sd;
  double squares = 0.0, residual_sd = 0.0, dof = 0.0;

  explicit NistSet(const std::string& name) : rows(reference_table("nist_" + name + ".csv")) {
    const ReferenceRows parameters = reference_rows_of("nist_nonlinear_parameters.csv", name);
    REQUIRE(parameters.size() == Count);
    for (int j = 0; j < Count; ++j) {
      const std::vector<double>& row = parameters[static_cast<std::size_t>(j)];
      REQUIRE(row.size() == 5);
      starts[0](j) = row[1];
      starts[1](j) = row[2];
      certified(j) = row[3];
      certified_sd(j) = row[4];
    }
    const std::vector<double> residuals =
        reference_rows_of("nist_nonlinear_residuals.csv", name).front();
    squares = residuals[0];
    residual_sd = residuals[1];
    dof = residuals[2];
    REQUIRE(rows.size() == static_cast<std::size_t>(residuals[3]));
  }

  /// Residuals in units of their scatter, as the analysis has them in units of the noise.
  /// @param residual  of one row, for parameters that may be complex
  template <class Residual>
  [[nodiscard]] CostForm<Count> form(const Residual& residual, const Vector& b) const {
    CostForm<Count> sum;
    for (const std::vector<double>& row : rows) {
      std::array<Complex, Count> p;
      for (int j = 0; j < Count; ++j) p[static_cast<std::size_t>(j)] = b(j);
      const double here = residual(p, row).real();
      Vector slope;
      for (int j = 0; j < Count; ++j) {
        Complex& moved = p[static_cast<std::size_t>(j)];
        moved += Complex(0.0, complex_step);
        slope(j) = -residual(p, row).imag() / complex_step;
        moved = b(j);
      }
      sum.add(slope / residual_sd, here / residual_sd);
    }
    return sum;
  }
};

}  // namespace nestcup
