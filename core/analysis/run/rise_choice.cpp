#include "core/analysis/run/rise_choice.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include "core/analysis/rise/likely_rise.hpp"

namespace nestcup {
namespace {

/// With so little behind the main period a straight line may say more than a model that has to
/// guess the leak.
constexpr double least_after_for_course_s = 20.0;
/// A course that is off by no more than this part of the scatter is good enough to be used, its
/// surplus scatter added.
constexpr double tolerable_surplus = 2.5;

/// Leak rates of a run: lidded foam cups have about 1e-4 per s, student runs up to 7e-4, which is
/// taken for the range of one standard deviation to either side. (The detector judges what may be
/// no cup, and supposes less.)
const double log_usual_rate = std::log(2.6e-4);
constexpr double u_log_usual_rate = 1.0;
/// Distance of the rest temperature to the cup's start: Student's t distribution of this scale and
/// these degrees of freedom, one in a hundred beyond 9 K.
constexpr double usual_rest_K = 1.5, rest_dof = 3.0;

CoursePrior prior_of(const RunPeriods& periods) {
  const double start_degC = periods.fore.back().temperature_degC;
  CoursePrior prior = bench_prior(start_degC, periods.hint_s, periods.room.room_degC);
  prior.mean(course::log_rate) = log_usual_rate;
  prior.u(course::log_rate) = u_log_usual_rate;
  if (!periods.room.room_degC) {
    // Vessels are left to come to the room's temperature before a trial; some are not.
    prior.u(course::rest_degC) = usual_rest_K;
    prior.rest_dof = rest_dof;
  }
  if (const auto& within = periods.input.pour_within) {
    prior.mean(course::mixing_s) = 0.5 * (within->start_s + within->end_s);
    prior.u(course::mixing_s) = (within->end_s - within->start_s) / std::sqrt(12.0);
  }
  // What a probe was carried to for its temperature is a liquid, and a heater dissolves nothing.
  prior.may_be_solid = !periods.input.one_probe && !periods.input.heater;
  if (periods.mark_used) {
    prior.mean(course::mixing_s) = *periods.input.mark_s;
    prior.u(course::mixing_s) = 0.5;  // a hand on a key is about so good
  }
  if (periods.input.heater) {
    // A heater's ramp is even, and as long as it is on.
    prior.mean(course::log_pour) = std::log(100.0);
    prior.u(course::log_pour) = 0.7;
  }
  return prior;
}

HeatLeak fitted_leak(const RunPeriods& periods) {
  return fit_heat_leak(periods.fore, periods.after, periods.mixing_s, periods.main_end_s,
                       periods.noise, periods.room);
}

RiseEstimate integral_of(const RunPeriods& periods, const HeatLeak& leak) {
  return regnault_pfaundler(leak, periods.fore, periods.main, periods.after, periods.noise,
                            periods.u_mixing_s);
}

/// How far the integral moves when the main period is taken to end later, by a third of the after
/// period: nothing but scatter, unless some of the approach was still to come.
double later_end_K(RunPeriods& periods, double rise_K) {
  const double main_end_s = periods.main_end_s, end_s = periods.curve().back().time_s;
  const double later_s = main_end_s + (end_s - main_end_s) / 3.0;
  const CurveView later = between(periods.after, later_s, INFINITY);
  double moved_K = 0.0;
  if (later.size() >= least_after_readings_for_leak &&
      end_s - later.front().time_s >= least_after_for_leak_s) {
    periods.main_end_s = later.front().time_s;
    periods.cut();
    moved_K = rise_K - integral_of(periods, fitted_leak(periods)).value_K;
    periods.main_end_s = main_end_s;
    periods.cut();
  }
  return moved_K;
}

/// An error of the probe's scale, and the rise with it; a common offset cancels. A calibration
/// knows it better than the tolerance.
BudgetLine scale_of_probe(const RunPeriods& periods, double rise_K) {
  if (const auto& calibration = periods.input.calibration) {
    return {"scale of the probe, from its calibration", calibration->u_difference_K(rise_K), 'B'};
  }
  const double tolerance_K = periods.input.tolerance_K.value_or(0.0);
  return {"scale of the probe, from its tolerance",
          std::abs(rise_K) * slope_u_of_tolerance(tolerance_K), 'B'};
}

std::size_t count_of_values(CurveView part) {
  std::set<double> values;
  for (const Point& point : part) values.insert(point.temperature_degC);
  return std::max<std::size_t>(1, values.size());
}

/// Each value of an uneven converter is off its place for good, however often it comes: a period's
/// level is the mean of as many as come there.
BudgetLine uneven_converter(const RunPeriods& periods) {
  const double fore = static_cast<double>(count_of_values(periods.fore));
  const double after = static_cast<double>(count_of_values(periods.after));
  return {"uneven steps of the converter",
          periods.input.uneven_K * std::sqrt(1.0 / fore + 1.0 / after), 'B'};
}

Uncertain cup_at_mixing(const RunPeriods& periods, const RiseChoice& choice, bool by_course) {
  if (by_course) {
    const double variance = choice.course.covariance(course::start_degC, course::start_degC);
    return {choice.course.parameters(course::start_degC), std::sqrt(variance), choice.used.dof};
  }
  const HeatLeak& leak = choice.leak;
  const double drift_K_per_s = leak.fore_rate_per_s() * (leak.start_degC - leak.rest_degC);
  return {leak.start_degC,
          std::hypot(std::sqrt(leak.covariance(0, 0)),
                     std::hypot(usual_probe_lag_s, periods.u_mixing_s) * drift_K_per_s),
          choice.used.dof};
}

/// The final temperature: the rise's uncertainty holds that of the start; where the rest is smaller
/// than the end's own, the end's own stands.
Uncertain final_of(const RiseChoice& choice) {
  const double rest = choice.used.u_K * choice.used.u_K - choice.start_degC.u * choice.start_degC.u;
  const double own_K = std::sqrt(std::max(0.0, choice.leak.covariance(4, 4)));
  return {choice.start_degC.value + choice.used.value_K,
          std::max(std::sqrt(std::max(0.0, rest)), own_K), choice.used.dof};
}

/// The course as if its slow part were none.
CourseFit quick_part(CourseFit fit) {
  fit.form = course::without_slow(fit.form);
  return fit;
}

enum class Method { course, integral, lines };

Method method_for(const RunPeriods& periods, const WeighedCourse& course, double u_course_K,
                  double u_lines_K) {
  const LackOfFit& lack = course.lack;
  // What is slow may go on to the end: the course tells then what is still to come.
  const double quick_end_s =
      std::min(periods.main_end_s, main_end_s(quick_part(course.fit), periods.curve()));
  const double after_s = periods.curve().back().time_s - quick_end_s;
  if (after_s < least_after_for_course_s && u_lines_K < u_course_K) return Method::lines;
  if (!lack.shows() || lack.surplus() < tolerable_surplus) return Method::course;
  return periods.leak_known() ? Method::integral : Method::lines;
}

}  // namespace

CourseChoice courses_of(RunPeriods& periods, bool to_the_middle) {
  CourseChoice choice = weighed_courses(periods.steady(), periods.hint_s, periods.noise,
                                        prior_of(periods), to_the_middle);
  const WeighedCourse& best = choice.best();
  // A lid's warming is a part of the drift behind the main period.
  divide_by_course(periods, without_lid(best.fit, best.slow));
  return choice;
}

RiseChoice choose_rise(RunPeriods& periods, const CourseChoice& courses) {
  RiseChoice choice;
  choice.course = courses.best().fit;
  choice.lack = courses.best().lack;
  choice.slow = courses.best().slow;
  const HeatLeak leak = fitted_leak(periods);
  RiseEstimate likely = likely_rise(periods.steady(), courses);
  RiseEstimate integral = integral_of(periods, leak);
  add_to_budget(integral, {"end of the main period",
                           std::abs(later_end_K(periods, integral.value_K)) / std::sqrt(3.0), 'B'});
  RiseEstimate lines = straight_lines(periods.fore, periods.main, periods.after, periods.mixing_s,
                                      periods.main_end_s);
  // Carried back over a short way, the line's error is what the curvature left out.
  const double bend_K = std::abs(lines.value_K - integral.value_K);
  add_to_budget(lines, {"bend of the after period that a line leaves out", bend_K, 'B'});
  const Method method = method_for(periods, courses.best(), likely.u_K, lines.u_K);
  likely.note += method == Method::course ? "; used: the course describes the readings"
                                          : "; not used: the course does not describe the readings";
  integral.note += method == Method::integral ? "; used: no course of the family fits"
                                              : "; not used: more scatter than the fitted course";
  if (method == Method::lines) {
    likely.note = "not used: the after period is too short";
    integral.note = "not used: the after period is too short to know the leak";
    lines.note += "; used: the after period is short";
  }
  if (choice.lack.shows() && method != Method::course) {
    // A course that is not quite right, and a method that does not see what is slow: the truth may
    // lie anywhere from the one to the other, and as far beyond.
    RiseEstimate& used = method == Method::integral ? integral : lines;
    const double apart_K = std::abs(used.value_K - likely.value_K);
    add_to_budget(used, {"choice of the model", apart_K / std::sqrt(3.0), 'B'});
  }
  choice.used_course = method == Method::course;
  choice.leak = method == Method::course ? leak_of(choice.course, periods.main_end_s) : leak;
  choice.estimates = {std::move(likely), std::move(integral), std::move(lines)};
  const BudgetLine converter = uneven_converter(periods);
  for (RiseEstimate& estimate : choice.estimates) {
    add_to_budget(estimate, scale_of_probe(periods, estimate.value_K));
    add_to_budget(estimate, converter);
  }
  choice.used = choice.estimates[static_cast<std::size_t>(method)];
  choice.start_degC = cup_at_mixing(periods, choice, method == Method::course);
  choice.final_degC = final_of(choice);
  return choice;
}

}  // namespace nestcup
