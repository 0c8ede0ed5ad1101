#include "core/analysis/course/passing_fit.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <vector>

#include "core/analysis/course/course_fit.hpp"
#include "core/analysis/course/course_problem.hpp"
#include "core/analysis/course/damped_scoring.hpp"
#include "core/analysis/course/log_evidence.hpp"
#include "core/analysis/course/passing_course.hpp"
#include "core/analysis/readings/line_fit.hpp"

namespace nestcup {
namespace {

constexpr double fastest_passing_rate_per_s = 4e-3;
/// Lengths to begin a fit with, s, and the parts of them that had passed at the onset: a slow
/// change is seen late.
constexpr std::array lengths_s{15.0, 40.0, 120.0, 400.0};
constexpr std::array passed{0.0, 0.6};

/// Heaters warm a cup by up to a tenth of a kelvin in a second; open lids and draughts make it leak
/// some times faster (common practice).
Known<passing::count> known_of_passing(double start_degC, double onset_s) {
  Known<passing::count> known;
  known.know(passing::start_degC, start_degC, 100.0);
  known.know(passing::rest_degC, start_degC, 15.0);
  known.know(passing::log_rate, std::log(4e-4), std::log(4.0));
  known.know(passing::log_factor, 0.0, 1.0);
  known.know(passing::heating_K_per_s, 0.0, 0.05);
  known.know(passing::begin_s, onset_s - 5.0, 40.0);
  known.know(passing::log_length, std::log(120.0), 1.2);
  known.know(passing::log_lag, std::log(3.5), 0.8);
  return known;
}

/// Moving air and an open lid make the cup leak faster for a minute or so, at most some times, and
/// bring no more heat than air a few kelvin off the room's: a cup near rest has not far to go.
Known<passing::count> known_of_draught(double start_degC, double onset_s) {
  Known<passing::count> known = known_of_passing(start_degC, onset_s);
  known.know(passing::log_factor, 1.0, 0.7);
  known.know(passing::heating_K_per_s, 0.0, 2e-3);
  known.know(passing::log_length, std::log(60.0), 1.0);
  return known;
}

passing::Vector bounded_passing(passing::Vector p) {
  const double fastest = std::log(fastest_passing_rate_per_s);
  p(passing::log_rate) = std::clamp(p(passing::log_rate), std::log(1e-6), fastest);
  const double most_factor = std::max(-2.0, fastest - p(passing::log_rate));
  p(passing::log_factor) = std::clamp(p(passing::log_factor), -2.0, most_factor);
  p(passing::log_length) = std::clamp(p(passing::log_length), std::log(8.0), std::log(3000.0));
  p(passing::log_lag) = std::clamp(p(passing::log_lag), std::log(0.02), std::log(60.0));
  return p;
}

class PassingProblem {
 public:
  using Form = CostForm<passing::count>;

  PassingProblem(std::vector<Sample> samples, const Known<passing::count>& known,
                 const Noise& noise)
      : samples_(std::move(samples)),
        known_(known),
        weight_(1.0 / std::pow(std::max(noise.total_K(), least_scatter_K), 2)) {}

  [[nodiscard]] Form form(const passing::Vector& p) const {
    Form form;
    add_readings(p, form);
    form.add_prior(p, known_.mean, known_.u);
    return form;
  }

 private:
  /// Slopes by differences: the course has too many cases for formulas that anyone would read.
  void add_readings(const passing::Vector& p, Form& form) const {
    static const passing::Vector step{{1e-4, 1e-4, 1e-4, 1e-4, 1e-6, 0.05, 1e-4, 1e-4}};
    const PassingCourse course(p);
    std::vector<PassingCourse> up, down;
    for (int i = 0; i < passing::count; ++i) {
      const passing::Vector by = step(i) * passing::Vector::Unit(i);
      up.emplace_back(p + by);
      down.emplace_back(p - by);
    }
    for (const Sample& sample : samples_) {
      passing::Vector slope;
      for (int i = 0; i < passing::count; ++i) {
        const auto at = static_cast<std::size_t>(i);
        slope(i) = (up[at].at(sample.time_s) - down[at].at(sample.time_s)) / (2.0 * step(i));
      }
      const double root = std::sqrt(weight_ * sample.count);
      form.add(root * slope, root * (sample.temperature_degC - course.at(sample.time_s)));
    }
  }

  std::vector<Sample> samples_;
  const Known<passing::count>& known_;
  double weight_;
};

/// Where a fit begins.
/// @param share  part of its length that had passed at the onset
passing::Vector begin_of(const Known<passing::count>& known, double onset_s, double length_s,
                         double share) {
  passing::Vector p = known.mean;
  p(passing::begin_s) = onset_s - 3.0 - share * length_s;
  p(passing::log_length) = std::log(length_s);
  return p;
}

double best_evidence(CurveView curve, double onset_s, const Noise& noise,
                     const Known<passing::count>& known,
                     const std::vector<passing::Vector>& begins) {
  const PassingProblem problem(grouped_samples(curve, onset_s), known, noise);
  const auto form_at = [&](const passing::Vector& at) { return problem.form(at); };
  double best = -INFINITY;
  for (passing::Vector p : begins) {
    const double cost = minimise<passing::count>(form_at, bounded_passing, p, {60, 1e-3});
    best = std::max(best, log_evidence<passing::count>(cost, problem.form(p).normal, known.u));
  }
  return best;
}

}  // namespace

double passing_evidence(CurveView curve, double onset_s, const Noise& noise) {
  const double start_degC = course_start_degC(curve, onset_s);
  const double way_K = curve.back().temperature_degC - start_degC;
  const Known<passing::count> known = known_of_passing(start_degC, onset_s);
  std::vector<passing::Vector> begins;
  for (const double length_s : lengths_s) {
    for (const double share : passed) {
      passing::Vector p = begin_of(known, onset_s, length_s, share);
      p(passing::heating_K_per_s) = way_K / length_s;
      begins.push_back(p);
    }
  }
  return best_evidence(curve, onset_s, noise, known, begins);
}

double draught_evidence(CurveView curve, double onset_s, const Noise& noise) {
  constexpr std::array rates_per_s{2e-4, 1e-3};
  constexpr std::array draughts_s{15.0, 40.0, 120.0};
  constexpr double before_onset_s = 5.0, share = 0.3;
  const double start_degC = course_start_degC(curve, onset_s);
  const Known<passing::count> known = known_of_draught(start_degC, onset_s);
  const double drift_K_per_s =
      fit_line(between(curve, curve.front().time_s, onset_s - before_onset_s)).slope_K_per_s;
  std::vector<passing::Vector> begins;
  for (const double rate_per_s : rates_per_s) {
    for (const double length_s : draughts_s) {
      passing::Vector p = begin_of(known, onset_s, length_s, share);
      p(passing::log_rate) = std::log(rate_per_s);
      p(passing::rest_degC) = start_degC + drift_K_per_s / rate_per_s;
      begins.push_back(p);
    }
  }
  return best_evidence(curve, onset_s, noise, known, begins);
}

}  // namespace nestcup
