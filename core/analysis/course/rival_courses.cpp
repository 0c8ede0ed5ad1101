#include "core/analysis/course/rival_courses.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <span>
#include <vector>

#include "core/analysis/course/carried_fit.hpp"
#include "core/analysis/course/course_fit.hpp"
#include "core/analysis/course/course_misfit.hpp"
#include "core/analysis/course/course_problem.hpp"
#include "core/analysis/course/log_evidence.hpp"
#include "core/analysis/course/passing_fit.hpp"
#include "core/analysis/readings/quiet_wander.hpp"

namespace nestcup {
namespace {

/// By how much a rival must be ahead, as a logarithm. A mixing has its own kinds beyond what is
/// usual, and the rivals have more freedom where readings are few. What is poured at once shows the
/// kink of a plunge: that alone is no reason to lose a mixing.
constexpr double passing_ahead = 4.0, in_air_ahead = 8.0, plunge_ahead = 20.0, carried_ahead = 5.0;
/// A sheet of some metal that reacts away warms a cup as evenly as a heater does.
constexpr double passing_ahead_of_solid = 1.5;
/// By how much a mixing must be ahead where its shape speaks against it.
constexpr double clearly_ahead = 6.0;
/// A second release is rarer than none.
constexpr double log_odds_of_second = -1.5;
/// A solid is rarer than a liquid.
constexpr double log_odds_of_solid = -1.5;

/// What a search begins with.
struct Start {
  double pour_s, release_s, lag_s;
  double slow_share = 0.0, slow_s = 30.0;
};
constexpr std::array mixing_starts{Start{2.5, 1.0, 3.5},  Start{2.5, 5.0, 3.5},
                                   Start{2.5, 18.0, 3.5}, Start{2.5, 50.0, 3.5},
                                   Start{1.0, 0.5, 8.0},  Start{1.0, 0.5, 1.5}};
constexpr std::array thinned_starts{Start{4.0, 0.5, 1.5}, Start{4.0, 1.0, 3.5},
                                    Start{4.0, 5.0, 3.5}};
constexpr std::array solid_starts{Start{15.0, 1.0, 3.5}, Start{40.0, 1.0, 3.5},
                                  Start{40.0, 5.0, 3.5}, Start{100.0, 1.0, 3.5}};
constexpr std::array second_starts{
    Start{2.5, 5.0, 3.5, 0.1, 15.0},   Start{2.5, 5.0, 3.5, 0.1, 100.0},
    Start{2.5, 1.0, 3.5, 0.25, 60.0},  Start{2.5, 5.0, 3.5, 0.4, 50.0},
    Start{2.5, 1.0, 3.5, 0.5, 30.0},   Start{2.5, 5.0, 3.5, -0.3, 50.0},
    Start{2.5, 1.0, 3.5, -0.3, 100.0}, Start{2.5, 5.0, 3.5, -0.8, 50.0}};
constexpr std::array ramp_starts{Start{30.0, 1.0, 3.5}, Start{90.0, 1.0, 3.5},
                                 Start{250.0, 1.0, 3.5}, Start{600.0, 1.0, 3.5}};
constexpr std::array in_air_starts{Start{0.1, 20.0, 0.2, 0.0, 60.0},
                                   Start{0.1, 40.0, 0.2, -0.4, 60.0},
                                   Start{0.1, 60.0, 0.2, -1.0, 60.0}};
constexpr std::array plunge_starts{Start{0.1, 1.0, 0.1}, Start{0.1, 5.0, 0.1},
                                   Start{0.1, 10.0, 0.1}};

/// A kind of course: the parameters of a mixing's course, with other knowledge beforehand.
class Kind {
 public:
  Kind(CurveView curve, double onset_s) : onset_s_(onset_s) {
    const double start_degC = course_start_degC(curve, onset_s);
    prior_ = bench_prior(start_degC, onset_s, std::nullopt);
    know(course::start_degC, start_degC, 100.0);
    know(course::rise_K, 0.0, 8.0);
    way_K_ = curve.back().temperature_degC - start_degC;
  }
  Kind& know(int parameter, double mean, double u) {
    prior_.mean(parameter) = mean;
    prior_.u(parameter) = u;
    return *this;
  }

  [[nodiscard]] Kind of_solid() const {
    Kind kind = *this;
    kind.prior_ = solid_prior(prior_);
    return kind;
  }

  struct Weight {
    double evidence = -INFINITY;
    course::Vector parameters = course::Vector::Zero();
  };
  [[nodiscard]] Weight weigh(CurveView curve, const Noise& noise, course::Form form,
                             std::span<const Start> starts) const;
  [[nodiscard]] Weight weigh_from(CurveView curve, const Noise& noise, course::Form form,
                                  const course::Vector& begin) const {
    return best_of(curve, noise, form, {&begin, 1});
  }
  /// With a second release: beside a course that was found without, or where a rival found it.
  [[nodiscard]] Weight weigh_second(CurveView curve, const Noise& noise,
                                    const course::Vector& first, course::Vector rival) const;

 private:
  [[nodiscard]] course::Vector begin(const Start& start) const;
  [[nodiscard]] Weight best_of(CurveView curve, const Noise& noise, course::Form form,
                               std::span<const course::Vector> begins) const;

  double onset_s_, way_K_ = 0.0;
  CoursePrior prior_;
};

course::Vector Kind::begin(const Start& start) const {
  course::Vector p = prior_.mean;
  p(course::rise_K) = way_K_;
  p(course::mixing_s) = onset_s_ - 2.0;
  p(course::log_pour) = std::log(start.pour_s);
  p(course::log_release) = std::log(start.release_s);
  p(course::log_lag) = std::log(start.lag_s);
  p(course::slow_share) = start.slow_share;
  p(course::log_slow) = std::log(start.slow_s);
  return p;
}

Kind::Weight Kind::best_of(CurveView curve, const Noise& noise, course::Form form,
                           std::span<const course::Vector> begins) const {
  const CourseProblem problem(grouped_samples(curve, onset_s_), prior_, noise, false, form);
  Weight weight;
  for (course::Vector p : begins) {
    const double cost = minimise(problem, p);
    // A slow part that does not take part has its prior's width, and changes nothing.
    const double evidence = log_evidence<course::count>(cost, problem.form(p).normal, prior_.u);
    if (evidence > weight.evidence) weight = {evidence, p};
  }
  return weight;
}

Kind::Weight Kind::weigh(CurveView curve, const Noise& noise, course::Form form,
                         std::span<const Start> starts) const {
  std::vector<course::Vector> begins;
  for (const Start& start : starts) begins.push_back(begin(start));
  return best_of(curve, noise, form, begins);
}

Kind::Weight Kind::weigh_second(CurveView curve, const Noise& noise, const course::Vector& first,
                                course::Vector rival) const {
  rival(course::log_pour) = prior_.mean(course::log_pour);
  rival(course::log_lag) = prior_.mean(course::log_lag);
  std::vector<course::Vector> begins{rival};
  for (const Start& start : second_starts) {
    begins.push_back(begin(start));
    course::Vector p = first;
    // Without a second release the leak may have gone far out of the usual to make up for it.
    for (const int i : {course::rest_degC, course::log_rate, course::log_ratio}) {
      p(i) = prior_.mean(i);
    }
    p(course::slow_share) = start.slow_share;
    p(course::log_slow) = std::log(start.slow_s);
    begins.push_back(p);
  }
  return best_of(curve, noise, course::Form::two_releases, begins);
}

/// As many neighbouring readings tell no more than one, since a digit stands that hides the noise:
/// for as long as it takes on the average to come to the next, some seconds at least.
double readings_alike(CurveView curve, const Noise& noise) {
  constexpr double least_stands_s = 4.0;
  const double span_s = curve.back().time_s - curve.front().time_s;
  const double digit_stands_s =
      std::max(least_stands_s, span_s * noise.step_K / std::max(range_K(curve), noise.step_K));
  const double readings = digit_stands_s / median_interval_s(curve);
  const double scatter_K = std::max(noise.total_K(), least_scatter_K);
  const double share = 0.5 * std::pow(rounding_bias_K(noise) / scatter_K, 2);
  return 1.0 + share * std::max(0.0, readings - 1.0);
}

double surplus_of(CurveView curve, const Noise& noise, double misfit_K) {
  const double scatter_K = std::max(noise.total_K(), least_scatter_K);
  return readings_alike(curve, noise) * std::max(1.0, std::pow(misfit_K / scatter_K, 2));
}

/// Takes this for the best course of a mixing where it is more probable than the one taken before.
void offer_mixing(CurveView curve, const Noise& noise, course::Form form,
                  const Kind::Weight& weight, RivalCourses& rivals) {
  const bool has_two = course::taking_part(form) > course::slow_share;
  const double log_odds = has_two                  ? log_odds_of_second
                          : course::solid_of(form) ? log_odds_of_solid
                                                   : 0.0;
  const double evidence = weight.evidence + log_odds;
  if (evidence <= rivals.mixing) return;
  rivals.mixing = evidence;
  rivals.form = form;
  rivals.parameters = weight.parameters;
  rivals.misfit_K = misfit_K(curve, rivals.mixing_course());
  rivals.surplus = surplus_of(curve, noise, rivals.misfit_K);
}

}  // namespace

bool RivalCourses::allow_mixing() const {
  const double behind = surplus * (course::solid_of(form) ? passing_ahead_of_solid : passing_ahead);
  return mixing > passing - behind && mixing > in_air - surplus * in_air_ahead &&
         mixing > plunge - surplus * plunge_ahead &&
         (mixing > carried - surplus * carried_ahead || carried < plunge + 3.0);
}

bool RivalCourses::ask_for_mixing() const {
  return mixing > best_rival() + clearly_ahead;
}

RivalCourses weigh_rivals(CurveView curve, double onset_s, const Noise& noise) {
  constexpr auto one_release = course::Form::one_release;
  const Kind usual(curve, onset_s);
  const Kind::Weight one = usual.weigh(curve, noise, one_release, mixing_starts);
  const double start_degC = curve.front().temperature_degC;
  Kind ramp = usual, in_air = usual, plunge = usual;
  // Even heating, for as long as it may last.
  ramp.know(course::log_pour, std::log(150.0), 1.0).know(course::log_release, std::log(0.5), 0.7);
  ramp.know(course::rest_degC, start_degC, 100.0).know(course::log_ratio, 0.0, 1.0);
  // In air the probe is its own release: it follows at once, with the delay that probes have there.
  in_air.know(course::log_pour, std::log(0.1), 0.5).know(course::log_lag, std::log(0.1), 0.5);
  in_air.know(course::log_release, std::log(40.0), 0.5).know(course::slow_share, -0.3, 0.5);
  in_air.know(course::log_slow, std::log(60.0), 0.6);
  plunge.know(course::log_pour, std::log(0.1), 0.5).know(course::log_lag, std::log(0.1), 0.5);
  plunge.know(course::log_release, std::log(3.5), 0.8);
  const Kind::Weight air = in_air.weigh(curve, noise, course::Form::two_releases, in_air_starts);
  const Kind::Weight two = usual.weigh_second(curve, noise, one.parameters, air.parameters);
  RivalCourses rivals;
  offer_mixing(curve, noise, one_release, one, rivals);
  offer_mixing(curve, noise, course::Form::two_releases, two, rivals);
  rivals.passing = std::max(passing_evidence(curve, onset_s, noise),
                            ramp.weigh(curve, noise, one_release, ramp_starts).evidence);
  // A draught is a passing change of which more is known: it is not far ahead of that.
  constexpr double most_ahead = 15.0;
  if (rivals.passing + most_ahead > rivals.mixing - rivals.surplus * passing_ahead) {
    rivals.passing = std::max(rivals.passing, draught_evidence(curve, onset_s, noise));
  }
  rivals.in_air = air.evidence;
  rivals.plunge = plunge.weigh(curve, noise, one_release, plunge_starts).evidence;
  rivals.carried = carried_evidence(curve, onset_s, noise);
  return rivals;
}

void weigh_thinned_pour(CurveView curve, double onset_s, const Noise& noise, RivalCourses& rivals) {
  using course::Form;
  const Kind usual(curve, onset_s);
  const Kind::Weight one = usual.weigh(curve, noise, Form::one_thinned, thinned_starts);
  const Kind::Weight two = usual.weigh_from(curve, noise, Form::two_thinned, rivals.parameters);
  offer_mixing(curve, noise, Form::one_thinned, one, rivals);
  offer_mixing(curve, noise, Form::two_thinned, two, rivals);
}

void weigh_solids(CurveView curve, double onset_s, const Noise& noise, RivalCourses& rivals) {
  const Kind solid = Kind(curve, onset_s).of_solid();
  for (const course::Form form : course::solid_forms) {
    offer_mixing(curve, noise, form, solid.weigh(curve, noise, form, solid_starts), rivals);
  }
}

bool sets_in_gently(CurveView curve, double onset_s, const Noise& noise, double limit_K,
                    const RivalCourses& rivals) {
  // An even ramp of 45 s, which may be a heater's, has the same standard deviation.
  constexpr double longest_s = 58.0;
  constexpr auto skinned = course::Form::one_skinned;
  const Kind::Weight weight =
      Kind(curve, onset_s).of_solid().weigh(curve, noise, skinned, solid_starts);
  const double off_K = misfit_K(curve, {weight.parameters, skinned});
  return std::exp(weight.parameters(course::log_pour)) < longest_s && off_K < limit_K &&
         weight.evidence + log_odds_of_solid >
             rivals.best_rival() + clearly_ahead * surplus_of(curve, noise, off_K);
}

}  // namespace nestcup
