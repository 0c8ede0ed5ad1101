#include "core/analysis/course/carried_fit.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "core/analysis/course/carried_course.hpp"
#include "core/analysis/course/course_fit.hpp"
#include "core/analysis/course/course_problem.hpp"
#include "core/analysis/course/damped_scoring.hpp"
#include "core/analysis/course/log_evidence.hpp"

namespace nestcup {
namespace {

constexpr double most_chi_squared = 2.0;  // for each sample
constexpr double fastest_carried_rate_per_s = 4e-3;
/// What a wet probe in a draught, or one in a warm hand, sees about the room's temperature.
constexpr double coldest_air_K = -6.0, warmest_air_K = 4.0;

/// In air since before the readings begin, as far as they tell.
constexpr double all_of_it_s = 1000.0;

/// What a search begins with: when the probe plunged, behind the onset, and how long it was in air.
struct CarriedStart {
  double plunge_s, air_s, lag_s;
};
constexpr std::array carried_starts{
    CarriedStart{-1.5, 4.0, 3.5},         CarriedStart{-1.5, 10.0, 8.0},
    CarriedStart{-1.5, all_of_it_s, 3.5}, CarriedStart{3.0, 5.0, 3.5},
    CarriedStart{3.0, 10.0, 1.5},         CarriedStart{10.0, 12.0, 3.5}};
/// From here on a probe has come near the air's temperature.
constexpr double long_in_air_s = 30.0;

/// A probe is carried in some seconds, or hangs in air for minutes; wet, it is drawn down some
/// kelvins below the air's temperature (common practice).
Known<carried::count> known_of_carrying(double start_degC, double onset_s) {
  Known<carried::count> known;
  known.know(carried::start_degC, start_degC, 100.0);
  known.know(carried::rest_degC, start_degC, 15.0);
  known.know(carried::log_first_rate, std::log(4e-4), std::log(4.0));
  known.know(carried::log_other_rate, std::log(4e-4), std::log(4.0));
  known.know(carried::plunge_s, onset_s, 12.0);
  known.know(carried::log_air, std::log(12.0), 1.3);
  known.know(carried::air_K, -1.0, 3.0);
  known.know(carried::log_air_lag, std::log(40.0), 0.5);
  known.know(carried::way_K, 0.0, 12.0);
  known.know(carried::log_lag, std::log(3.5), 0.8);
  return known;
}

carried::Vector bounded_carrying(carried::Vector p) {
  const double slowest = std::log(1e-6), fastest = std::log(fastest_carried_rate_per_s);
  p(carried::log_first_rate) = std::clamp(p(carried::log_first_rate), slowest, fastest);
  p(carried::log_other_rate) = std::clamp(p(carried::log_other_rate), slowest, fastest);
  p(carried::log_air) = std::clamp(p(carried::log_air), std::log(1.0), std::log(1000.0));
  p(carried::air_K) = std::clamp(p(carried::air_K), coldest_air_K, warmest_air_K);
  p(carried::log_air_lag) = std::clamp(p(carried::log_air_lag), std::log(15.0), std::log(200.0));
  p(carried::log_lag) = std::clamp(p(carried::log_lag), std::log(0.02), std::log(60.0));
  return p;
}

}  // namespace

double carried_evidence(CurveView curve, double onset_s, const Noise& noise) {
  const double start_degC = course_start_degC(curve, onset_s);
  const Known<carried::count> known = known_of_carrying(start_degC, onset_s);
  const std::vector<Sample> samples = grouped_samples(curve, onset_s);
  const double weight = 1.0 / std::pow(std::max(noise.total_K(), least_scatter_K), 2);
  const auto form_at = [&](const carried::Vector& p) {
    CostForm<carried::count> form;
    const CarriedCourse course(p);
    carried::Vector slope;
    for (const Sample& sample : samples) {
      const double root = std::sqrt(weight * sample.count);
      const double residual_K = sample.temperature_degC - course.at(sample.time_s, slope);
      form.add(root * slope, root * residual_K);
    }
    form.add_prior(p, known.mean, known.u);
    return form;
  };
  double best = -INFINITY;
  for (const CarriedStart& start : carried_starts) {
    carried::Vector p = known.mean;
    p(carried::plunge_s) = onset_s + start.plunge_s;
    p(carried::log_air) = std::log(std::min(start.air_s, onset_s - curve.front().time_s + 1.0));
    p(carried::log_lag) = std::log(start.lag_s);
    // After a while in air, what it shows before the plunge is the air; the cup lies further back.
    if (start.air_s > long_in_air_s) p(carried::start_degC) = curve.front().temperature_degC;
    p(carried::way_K) = curve.back().temperature_degC - p(carried::start_degC);
    const double cost = minimise<carried::count>(form_at, bounded_carrying, p, {60, 1e-3});
    if (2.0 * cost > most_chi_squared * static_cast<double>(samples.size())) continue;
    best = std::max(best, log_evidence<carried::count>(cost, form_at(p).normal, known.u));
  }
  return best;
}

}  // namespace nestcup
