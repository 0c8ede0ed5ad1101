#include "core/analysis/course/course_problem.hpp"

#include <algorithm>
#include <cmath>

#include "core/analysis/readings/rounded_reading.hpp"

namespace nestcup {
namespace {

/// Sums of products of the parameters' slopes that take part; a slow part's are nought without it.
/// Of a symmetric matrix the lower half does.
template <int Count>
void add_product(course::Matrix& sum, double weight, const course::Vector& slope) {
  for (int j = 0; j < Count; ++j) {
    const double weighted = weight * slope(j);
    for (int i = j; i < Count; ++i) sum(i, j) += weighted * slope(i);
  }
}

class Products {
 public:
  explicit Products(course::Form form) : form_(form) {}

  void add(double weight, const course::Vector& slope) {
    switch (form_) {
      case course::Form::one_release:
      case course::Form::one_thinned:
      case course::Form::one_sheet:
      case course::Form::one_rod:
      case course::Form::one_grain:
      case course::Form::one_skinned:
        return add_product<taking_part(course::Form::one_release)>(sum_, weight, slope);
      case course::Form::two_releases:
      case course::Form::two_thinned:
        return add_product<taking_part(course::Form::two_releases)>(sum_, weight, slope);
      case course::Form::with_lid:
        return add_product<taking_part(course::Form::with_lid)>(sum_, weight, slope);
    }
  }
  [[nodiscard]] course::Matrix sum() const { return sum_.selfadjointView<Eigen::Lower>(); }

 private:
  course::Form form_;
  course::Matrix sum_ = course::Matrix::Zero();
};

}  // namespace

std::vector<Sample> single_samples(CurveView curve) {
  std::vector<Sample> samples;
  samples.reserve(curve.size());
  for (const Point& point : curve) samples.push_back({point.time_s, point.temperature_degC, 1.0});
  return samples;
}

std::vector<Sample> grouped_samples(CurveView curve, double mixing_s) {
  constexpr double single_before_s = 20.0, single_behind_s = 30.0, share = 0.03;
  std::vector<Sample> samples;
  double group_end_s = -INFINITY;
  for (const Point& point : curve) {
    const double since_s = point.time_s - mixing_s;
    const bool near = since_s > -single_before_s && since_s < single_behind_s;
    if (samples.empty() || near || point.time_s >= group_end_s) {
      samples.push_back({point.time_s, point.temperature_degC, 1.0});
      group_end_s = point.time_s + share * std::abs(since_s);
      if (since_s < 0.0) group_end_s = std::min(group_end_s, mixing_s - single_before_s);
      continue;
    }
    Sample& group = samples.back();
    group.count += 1.0;
    group.time_s += (point.time_s - group.time_s) / group.count;
    group.temperature_degC += (point.temperature_degC - group.temperature_degC) / group.count;
  }
  return samples;
}

CourseProblem::CourseProblem(std::vector<Sample> samples, const CoursePrior& prior,
                             const Noise& noise, bool rounded, course::Form form)
    : samples_(std::move(samples)),
      prior_(prior),
      noise_(noise),
      rounded_(rounded),
      course_form_(form),
      scatter_K_(std::max(noise.total_K(), least_scatter_K)) {}

void CourseProblem::add_prior(Form& form, const course::Vector& p) const {
  for (int i = 0; i < course::count; ++i) {
    const double weight = prior_.weight(i, p(i));
    form.cost += prior_.cost(i, p(i));
    form.descent(i) += weight * (prior_.mean(i) - p(i));
    form.normal(i, i) += weight;
  }
}

CourseProblem::Form CourseProblem::form(const course::Vector& p) const {
  const MixingCourse course(p, course_form_);
  Products products(course_form_);
  Form form;
  course::Vector slope;
  const double weight = 1.0 / (scatter_K_ * scatter_K_);
  for (const Sample& sample : samples_) {
    const double expected = course.at(sample.time_s, slope);
    double curvature = weight * sample.count;
    double score = curvature * (sample.temperature_degC - expected);
    if (rounded_) {
      const auto likelihood = rounded_likelihood(sample.temperature_degC, expected, noise_);
      form.cost -= likelihood.log_p;
      score = likelihood.score_per_K;
      curvature = likelihood.curvature_per_K2;
    } else {
      form.cost += 0.5 * score * (sample.temperature_degC - expected);
    }
    form.descent.noalias() += score * slope;
    products.add(curvature, slope);
  }
  form.normal = products.sum();
  add_prior(form, p);
  return form;
}

course::Matrix CourseProblem::information(const course::Vector& p) const {
  const MixingCourse course(p, course_form_);
  Products products(course_form_);
  course::Vector slope;
  for (const Sample& sample : samples_) {
    const double expected = course.at(sample.time_s, slope);
    const double information = rounded_
                                   ? rounded_information(sample.temperature_degC, expected, noise_)
                                   : sample.count / (scatter_K_ * scatter_K_);
    products.add(information, slope);
  }
  Form form;
  form.normal = products.sum();
  add_prior(form, p);
  return form.normal;
}

course::Vector CourseProblem::bounded(course::Vector p) const {
  p(course::log_rate) = std::clamp(p(course::log_rate), std::log(1e-6), std::log(4e-3));
  p(course::log_ratio) = std::clamp(p(course::log_ratio), -1.5, 2.0);
  p(course::log_pour) = std::clamp(p(course::log_pour), std::log(0.05), std::log(900.0));
  const double longest = -std::log(1.5) - p(course::log_rate);
  for (const int i : {course::log_release, course::log_lag, course::log_slow, course::log_lid}) {
    p(i) = std::clamp(p(i), std::log(0.02), std::min(longest, std::log(300.0)));
  }
  return p;
}

double minimise(const CourseProblem& problem, course::Vector& p, double least_gain) {
  return minimise<course::count>([&](const course::Vector& at) { return problem.form(at); },
                                 [&](const course::Vector& at) { return problem.bounded(at); }, p,
                                 {40, least_gain});
}

}  // namespace nestcup
