// The sum that a course fit makes small, and its quadratic form about a point.
#pragma once

#include <vector>

#include "core/analysis/course/course_fit.hpp"
#include "core/analysis/course/damped_scoring.hpp"

namespace nestcup {

/// A fit takes no scatter to be smaller: digits that stand still scatter by nothing, K.
inline constexpr double least_scatter_K = 1e-4;

/// Some neighbouring readings taken together.
struct Sample {
  double time_s = 0.0;
  double temperature_degC = 0.0;  ///< their mean
  double count = 1.0;
};

/// Every reading as a sample of its own.
[[nodiscard]] std::vector<Sample> single_samples(CurveView curve);

/// Readings far from the mixing taken together, over a thirtieth of the distance to it: there
/// the course is a line within the group, and a fit costs a fraction of the time.
[[nodiscard]] std::vector<Sample> grouped_samples(CurveView curve, double mixing_s);

/// Minus the logarithm of the posterior probability, up to a constant.
class CourseProblem {
 public:
  /// @param rounded  readings are rounded to the noise's step and weighed so; otherwise the step
  ///                 counts as further scatter
  CourseProblem(std::vector<Sample> samples, const CoursePrior& prior, const Noise& noise,
                bool rounded, course::Form form);

  using Form = CostForm<course::count>;
  [[nodiscard]] Form form(const course::Vector& p) const;

  /// Expected information of the readings at `p`, with that of the priors: its inverse is the
  /// covariance.
  [[nodiscard]] course::Matrix information(const course::Vector& p) const;

  /// Keeps the logarithms where the closed form of the course is sound.
  [[nodiscard]] course::Vector bounded(course::Vector p) const;

  [[nodiscard]] double scatter_K() const { return scatter_K_; }

 private:
  void add_prior(Form& form, const course::Vector& p) const;

  std::vector<Sample> samples_;
  CoursePrior prior_;
  Noise noise_;
  bool rounded_;
  course::Form course_form_;
  double scatter_K_;
};

/// @param[in,out] p  start, then end of the search
/// @return the cost there
double minimise(const CourseProblem& problem, course::Vector& p, double least_gain = 1e-4);

}  // namespace nestcup
