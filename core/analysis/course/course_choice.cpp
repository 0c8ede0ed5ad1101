#include "core/analysis/course/course_choice.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include "core/analysis/course/course_posterior.hpp"
#include "core/analysis/course/course_problem.hpp"
#include "core/analysis/course/slow_search.hpp"

namespace nestcup {
namespace {

/// In multiples of the uncertainty beforehand; beyond, a slow part is none of a lid.
constexpr double most_unlike_lid = 3.0;
/// Of slow parts beforehand; the rest is for none, which is what most benches show. No physics
/// tells them: chosen between how often the uncertainty holds with and without such parts.
constexpr double lid_probability = 0.22, release_probability = 0.08, both_probability = 0.03,
                 solid_probability = 0.03;
constexpr double none_probability =
    1.0 - lid_probability - release_probability - both_probability - solid_probability;
/// What lies beyond two standard deviations on one side: less is not for an uncertainty to hold.
constexpr double least_probability = 0.0228;
/// From this probability, or this gain in log likelihood, on a slow part is fitted.
constexpr double fitted_from_probability = 0.8, fitted_from_gain = 3.0;

/// A lid is sought on where the first step from the course without gains more than one standard
/// deviation does, in log likelihood, and until a step gains little.
constexpr double step_shows = 0.5, step_gain = 0.01;

/// Mean over a normal distribution by three of its points (Gauss and Hermite).
struct Node {
  double distance, weight;
};
constexpr std::array nodes{Node{-1.7320508, 1.0 / 6.0}, Node{0.0, 2.0 / 3.0},
                           Node{1.7320508, 1.0 / 6.0}};

/// What is known of a lid beside what is known of the rest. A lid follows the cup, which follows
/// the release; written as a second release beside the first its share is larger for that.
CoursePrior lid_prior(CoursePrior prior, double release_s) {
  const double log_lid = prior.mean(course::log_lid);
  const double delayed = 1.0 / (1.0 - std::min(release_s / std::exp(log_lid), 0.5));
  prior.mean(course::slow_share) = prior.mean(course::lid_share) * delayed;
  prior.u(course::slow_share) = prior.u(course::lid_share) * delayed;
  prior.mean(course::log_slow) = log_lid;
  prior.u(course::log_slow) = prior.u(course::log_lid);
  return prior;
}

/// Logarithm of the parameters' volume behind over that before the readings, with the density of
/// the prior: what free parameters cost.
double log_volume(const CourseFit& fit, const CoursePrior& prior) {
  double sum = fit.covariance.ldlt().vectorD().array().log().sum() * 0.5;
  for (int i = 0; i < course::count; ++i) {
    if (!std::isfinite(prior.u(i))) continue;
    sum -= std::log(prior.u(i));
    // A slow part that does not take part lies where its prior has its mean.
    if (i < course::taking_part(fit.form)) sum -= prior.cost(i, fit.parameters(i));
  }
  return sum;
}

/// Standard normal probability of less than z.
double below(double z) {
  return 0.5 * std::erfc(-z / std::sqrt(2.0));
}

/// Lids take heat up: logarithm of the probability of that behind over that before the readings.
double log_taking_up(const WeighedCourse& course) {
  if (course.slow != SlowPart::lid && course.slow != SlowPart::both) return 0.0;
  const int share = course.slow == SlowPart::lid ? course::slow_share : course::lid_share;
  const double u = std::sqrt(course.fit.covariance(share, share));
  return std::log(below(-course.fit.parameters(share) / u) /
                  below(-course.prior.mean(share) / course.prior.u(share)));
}

/// The courses of a run on their way to their probabilities.
class Weighing {
 public:
  Weighing(CurveView curve, double hint_s, const Noise& noise, const CoursePrior& prior)
      : curve_(curve),
        noise_(noise),
        prior_(prior),
        plain_(best_course(curve, hint_s, noise, prior)),
        lid_prior_(lid_prior(prior, std::exp(plain_.parameters(course::log_release)))) {
    add_plain();
  }

  [[nodiscard]] CourseChoice choice(bool to_the_middle);

 private:
  void add(SlowPart slow, CourseFit fit, const CoursePrior& prior, double probability);
  void add_plain() { add(SlowPart::none, plain_, prior_, none_probability); }
  void add_steps(SlowPart slow, CoursePrior prior);
  void add_fits();
  void add_solids();
  void weigh();
  void take_middles();

  CurveView curve_;
  const Noise& noise_;
  CoursePrior prior_;
  CourseFit plain_;
  CoursePrior lid_prior_;
  double most_gain_ = 0.0;
  std::vector<WeighedCourse> courses_;
  /// For each step: logarithm of its volume, with what it gains over the course it begins at.
  std::vector<std::optional<double>> stepped_;
};

void Weighing::add(SlowPart slow, CourseFit fit, const CoursePrior& prior, double probability) {
  WeighedCourse course{slow, std::move(fit), prior, {}, probability};
  course.lack = lack_of_fit(curve_, course.fit);
  course.is_fitted = slow != SlowPart::none;
  courses_.push_back(std::move(course));
  stepped_.emplace_back();
}

/// Some steps of scoring from the course without, at some times of the slow part: of a part that
/// hardly shows the time is open, and one fit with its curvature would not tell of all.
void Weighing::add_steps(SlowPart slow, CoursePrior prior) {
  const bool coarse = plain_.noise.is_coarse();
  const double middle = prior.mean(course::log_slow);
  const std::vector<Sample> samples =
      coarse ? single_samples(curve_) : grouped_samples(curve_, plain_.mixing_s());
  for (const Node& node : nodes) {
    prior.mean(course::log_slow) = middle + node.distance * prior.u(course::log_slow);
    CourseFit fit = plain_;
    fit.form = course::Form::two_releases;
    const CourseProblem problem(samples, prior, plain_.noise, coarse, fit.form);
    fit.parameters(course::slow_share) = 0.0;
    fit.parameters(course::log_slow) = prior.mean(course::log_slow);
    const CourseProblem::Form form = problem.form(fit.parameters);
    fit.covariance = form.normal.inverse();
    course::Vector end = problem.bounded(fit.parameters + fit.covariance * form.descent);
    // What the quadratic form about the start says; its end lies on the course's curved valley only
    // nearly, and would seem less likely than it is.
    double gain = 0.5 * form.descent.dot(fit.covariance * form.descent);
    if (slow == SlowPart::lid && gain > step_shows) {
      // The plain course has made up for a lid by a leak far from the usual: the way back is long.
      gain = form.cost - minimise(problem, end, step_gain);
      fit.covariance = problem.form(end).normal.inverse();
    }
    most_gain_ = std::max(most_gain_, gain);
    stepped_.emplace_back(log_volume(fit, prior) + gain);
    fit.parameters = end;
    WeighedCourse course{
        slow, std::move(fit), prior, courses_.front().lack,
        (slow == SlowPart::lid ? lid_probability : release_probability) * node.weight};
    courses_.push_back(std::move(course));
  }
}

void Weighing::add_fits() {
  constexpr auto two = course::Form::two_releases, with_lid = course::Form::with_lid;
  CourseFit lid = fitted_lid(curve_, plain_, noise_, lid_prior_);
  CourseFit release = fitted_release(curve_, plain_, two, noise_, prior_);
  const auto try_from = [&](CourseFit& fit, const CourseFit& other) {
    CourseFit again = fit_course(curve_, other.parameters, fit.form, noise_, prior_);
    fit = more_probable(curve_, std::move(fit), std::move(again), prior_);
  };
  const double away = lid.parameters(course::slow_share) - lid_prior_.mean(course::slow_share);
  if (std::abs(away) < most_unlike_lid * lid_prior_.u(course::slow_share)) {
    add(SlowPart::lid, std::move(lid), lid_prior_, lid_probability);
  } else {
    try_from(release, lid);  // no lid, but the readings have led there
  }
  CourseFit both = fitted_release(curve_, plain_, with_lid, noise_, prior_);
  // Neither may lack what the other found.
  try_from(both, release);
  try_from(release, both);
  add(SlowPart::release, std::move(release), prior_, release_probability);
  add(SlowPart::both, std::move(both), prior_, both_probability);
  if (prior_.may_be_solid) add_solids();
}

void Weighing::add_solids() {
  const CoursePrior of_solid = solid_prior(prior_);
  for (const course::Form form : course::solid_forms) {
    add(SlowPart::solid, fitted_solid(curve_, plain_, form, noise_, of_solid), of_solid,
        solid_probability / static_cast<double>(course::solid_forms.size()));
  }
}

void Weighing::weigh() {
  const auto less_scatter = [](const WeighedCourse& a, const WeighedCourse& b) {
    return a.fit.noise.total_K() < b.fit.noise.total_K();
  };
  const auto closest = std::min_element(courses_.begin(), courses_.end(), less_scatter);
  const Noise noise = closest->fit.noise;
  const double surplus = closest->lack.surplus();
  const double plain_log = log_probability(curve_, plain_.course(), noise);
  std::vector<double> logs;
  for (std::size_t i = 0; i < courses_.size(); ++i) {
    const WeighedCourse& course = courses_[i];
    const double log = stepped_[i] || course.slow == SlowPart::none
                           ? plain_log
                           : log_probability(curve_, course.fit.course(), noise);
    logs.push_back(log / surplus + stepped_[i].value_or(log_volume(course.fit, course.prior)) +
                   std::log(course.probability));
    logs.back() += log_taking_up(course);
  }
  const double most = *std::max_element(logs.begin(), logs.end());
  double sum = 0.0;
  for (double& log : logs) sum += log = std::exp(log - most);
  for (std::size_t i = 0; i < courses_.size(); ++i) courses_[i].probability = logs[i] / sum;
}

/// Where digits change seldom the middle of what they allow is nearer to the truth than the
/// likeliest course. Courses at one step from that without a slow part move along with it.
void Weighing::take_middles() {
  CourseFit middle = plain_;
  take_posterior(middle, curve_, prior_);
  const course::Vector wider =
      (middle.covariance.diagonal().array() / plain_.covariance.diagonal().array()).sqrt();
  for (WeighedCourse& course : courses_) {
    if (course.is_fitted) {
      take_posterior(course.fit, curve_, course.prior);
    } else {
      course.fit.parameters += middle.parameters - plain_.parameters;
      course.fit.covariance = wider.asDiagonal() * course.fit.covariance * wider.asDiagonal();
    }
  }
}

CourseChoice Weighing::choice(bool to_the_middle) {
  add_steps(SlowPart::lid, lid_prior_);
  add_steps(SlowPart::release, prior_);
  weigh();
  if (courses_.front().lack.shows() || most_gain_ > fitted_from_gain ||
      courses_.front().probability < 1.0 - fitted_from_probability) {
    courses_.clear();
    stepped_.clear();
    add_plain();
    add_fits();
    weigh();
  }
  std::sort(courses_.begin(), courses_.end(), [](const WeighedCourse& a, const WeighedCourse& b) {
    return a.probability > b.probability;
  });
  while (courses_.back().probability < least_probability) courses_.pop_back();
  double sum = 0.0;
  for (const WeighedCourse& course : courses_) sum += course.probability;
  for (WeighedCourse& course : courses_) course.probability /= sum;
  if (to_the_middle && plain_.noise.is_hidden()) take_middles();
  return {std::move(courses_)};
}

}  // namespace

CourseChoice weighed_courses(CurveView curve, double hint_s, const Noise& noise,
                             const CoursePrior& prior, bool to_the_middle) {
  return Weighing(curve, hint_s, noise, prior).choice(to_the_middle);
}

}  // namespace nestcup
