// What weighed courses say together.
#include <algorithm>
#include <cmath>

#include "core/analysis/course/course_choice.hpp"

namespace nestcup {
namespace {

constexpr int halvings = 45;

/// A course's rise as it takes part in the weighing.
struct Rise {
  double probability, rise_K, u_K;
};

/// @param alike  whether a surplus of scatter counts
std::vector<Rise> rises_of(const std::vector<WeighedCourse>& courses, bool alike) {
  std::vector<Rise> rises;
  for (const WeighedCourse& course : courses) {
    const double surplus = alike ? course.lack.surplus() : 1.0;
    rises.push_back({course.probability, course.rise_K(), course.u_rise_K() * std::sqrt(surplus)});
  }
  return rises;
}

/// Probability of a rise below `rise_K`, each course's normally distributed.
double probability_below(const std::vector<Rise>& rises, double rise_K) {
  double sum = 0.0;
  for (const Rise& rise : rises) {
    const double z = (rise_K - rise.rise_K) / rise.u_K;
    sum += rise.probability * 0.5 * std::erfc(-z / std::sqrt(2.0));
  }
  return sum;
}

/// Half of the distance to either side of `middle_K` within which the rise lies with the
/// probability that a normal distribution has within two standard deviations, K.
double half_of_reach_K(const std::vector<Rise>& rises, double middle_K) {
  const double wanted = std::erf(std::sqrt(2.0));
  double low_K = 0.0, high_K = 0.0;
  for (const Rise& rise : rises) {
    high_K = std::max(high_K, std::abs(rise.rise_K - middle_K) + 8.0 * rise.u_K);
  }
  for (int i = 0; i < halvings; ++i) {
    const double reach_K = 0.5 * (low_K + high_K);
    const double within =
        probability_below(rises, middle_K + reach_K) - probability_below(rises, middle_K - reach_K);
    (within < wanted ? low_K : high_K) = reach_K;
  }
  return 0.25 * (low_K + high_K);
}

/// The release's time over that of a lid. Release and lag can change places with next to no trace
/// in the readings, but a lid feels the release and not the lag: what is known of both beforehand
/// says which is which.
struct DelayBeforeLid {
  double over_lid, u_over_lid, by_log_release, by_log_lag;
  double off_fitted;  ///< what the ratio lies off that of the fitted release

  /// @param log_lid  place of the lid's time
  DelayBeforeLid(const course::Vector& p, const CoursePrior& prior, int log_lid) {
    const double release = p(course::log_release), lag = p(course::log_lag);
    const auto cost = [&](double log_release, double log_lag) {
      return prior.cost(course::log_release, log_release) + prior.cost(course::log_lag, log_lag);
    };
    const double as_fitted = 1.0 / (1.0 + std::exp(cost(release, lag) - cost(lag, release)));
    const double release_over_lid = std::exp(release - p(log_lid));
    const double lag_over_lid = std::exp(lag - p(log_lid));
    by_log_release = as_fitted * release_over_lid;
    by_log_lag = (1.0 - as_fitted) * lag_over_lid;
    over_lid = by_log_release + by_log_lag;
    off_fitted = over_lid - release_over_lid;
    u_over_lid =
        std::sqrt(as_fitted * (1.0 - as_fitted)) * std::abs(release_over_lid - lag_over_lid);
  }
};

/// Share of the rise that a lid takes of the quick release's heat.
double lid_on_quick_part(const course::Vector& p) {
  return p(course::lid_share) * (1.0 - p(course::slow_share));
}

}  // namespace

std::string_view slow_part_name(SlowPart slow) {
  switch (slow) {
    case SlowPart::none:
      return "one release";
    case SlowPart::lid:
      return "one release and a lid that warms";
    case SlowPart::release:
      return "a quick and a slow release";
    case SlowPart::both:
      return "a quick and a slow release and a lid that warms";
    case SlowPart::solid:
      return "a solid that dissolves";
  }
  return "one release";
}

CourseFit without_lid(CourseFit fit, SlowPart slow) {
  if (slow == SlowPart::lid) fit.form = course::Form::one_release;
  if (slow == SlowPart::both) fit.form = course::Form::two_releases;
  return fit;
}

double WeighedCourse::rise_K() const {
  if (slow == SlowPart::both) {
    const DelayBeforeLid delay(fit.parameters, prior, course::log_lid);
    return fit.rise_K() * (1.0 + lid_on_quick_part(fit.parameters) * delay.off_fitted);
  }
  if (slow != SlowPart::lid) return fit.rise_K();
  const DelayBeforeLid delay(fit.parameters, prior, course::log_slow);
  return fit.rise_K() * (1.0 - fit.parameters(course::slow_share) * (1.0 - delay.over_lid));
}

double WeighedCourse::u_rise_K() const {
  const double u_fitted_K = std::sqrt(fit.covariance(course::rise_K, course::rise_K));
  if (slow == SlowPart::both) {
    const DelayBeforeLid delay(fit.parameters, prior, course::log_lid);
    return std::hypot(u_fitted_K,
                      fit.rise_K() * lid_on_quick_part(fit.parameters) * delay.u_over_lid);
  }
  if (slow != SlowPart::lid) return u_fitted_K;
  const DelayBeforeLid delay(fit.parameters, prior, course::log_slow);
  const double share = fit.parameters(course::slow_share);
  course::Vector slope = course::Vector::Zero();
  slope(course::rise_K) = 1.0 - share * (1.0 - delay.over_lid);
  slope(course::slow_share) = -fit.rise_K() * (1.0 - delay.over_lid);
  slope(course::log_release) = fit.rise_K() * share * delay.by_log_release;
  slope(course::log_lag) = fit.rise_K() * share * delay.by_log_lag;
  slope(course::log_slow) = -fit.rise_K() * share * delay.over_lid;
  return std::hypot(std::sqrt(slope.dot(fit.covariance * slope)),
                    fit.rise_K() * share * delay.u_over_lid);
}

double CourseChoice::rise_K() const {
  if (courses.size() == 1) return best().rise_K();
  constexpr double reach = 8.0;
  double low_K = INFINITY, high_K = -INFINITY;
  for (const WeighedCourse& course : courses) {
    low_K = std::min(low_K, course.rise_K() - reach * course.u_rise_K());
    high_K = std::max(high_K, course.rise_K() + reach * course.u_rise_K());
  }
  const std::vector<Rise> rises = rises_of(courses, false);
  for (int i = 0; i < halvings; ++i) {
    const double middle_K = 0.5 * (low_K + high_K);
    (probability_below(rises, middle_K) < 0.5 ? low_K : high_K) = middle_K;
  }
  return 0.5 * (low_K + high_K);
}

double CourseChoice::u_choice_K() const {
  if (courses.size() == 1) return 0.0;
  const std::vector<Rise> rises = rises_of(courses, true);
  const double middle_K = rise_K();
  double apart_K2 = 0.0, own_K2 = 0.0;
  for (const Rise& rise : rises) {
    apart_K2 += rise.probability * std::pow(rise.rise_K - middle_K, 2);
    own_K2 += rise.probability * rise.u_K * rise.u_K;
  }
  const double reaching_K2 = std::pow(half_of_reach_K(rises, middle_K), 2) - own_K2;
  return std::sqrt(std::max(apart_K2, reaching_K2));
}

}  // namespace nestcup
