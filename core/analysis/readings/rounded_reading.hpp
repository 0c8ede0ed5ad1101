// Likelihood of a reading that was rounded to the step of its display: the probability that the
// unrounded one fell into the rounding interval.
#pragma once

#include "core/analysis/readings/noise.hpp"

namespace nestcup {

/// How likely a reading is, and how that changes with the temperature expected.
struct ReadingLikelihood {
  double log_p = 0.0;
  double score_per_K = 0.0;       ///< derivative of log_p by the expected temperature
  double curvature_per_K2 = 0.0;  ///< minus its second derivative, >= 0
  double by_log_sd = 0.0;         ///< derivative of log_p by the logarithm of the noise
};

/// P = Phi((y + step/2 - expected)/sd) - Phi((y - step/2 - expected)/sd).
/// @param noise  sd > 0, step > 0
[[nodiscard]] ReadingLikelihood rounded_likelihood(double reading_degC, double expected_degC,
                                                   const Noise& noise);

/// P alone; 0 where it underflows.
[[nodiscard]] double rounded_probability(double reading_degC, double expected_degC,
                                         const Noise& noise);

/// The same log_p alone, at a fraction of the cost.
[[nodiscard]] double rounded_log_p(double reading_degC, double expected_degC, const Noise& noise);

/// Sum of the log_p of many readings, with a logarithm taken once for dozens of them.
class LogProduct {
 public:
  void add(double reading_degC, double expected_degC, const Noise& noise);
  [[nodiscard]] double value() const;

 private:
  double sum_ = 0.0, product_ = 1.0;
};

/// Fisher information of one rounded reading about the temperature expected: the sum over the
/// display's values y of (dP_y/dexpected)^2 / P_y, 1/K^2. Between 0 and 1 / sd^2.
/// @param reading_degC  any value that the display can show
[[nodiscard]] double rounded_information(double reading_degC, double expected_degC,
                                         const Noise& noise);

}  // namespace nestcup
