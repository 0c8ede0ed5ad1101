#include "core/analysis/course/course_posterior.hpp"

#include <algorithm>
#include <boost/random/mersenne_twister.hpp>
#include <boost/random/normal_distribution.hpp>
#include <boost/random/uniform_01.hpp>
#include <cmath>

#include "core/analysis/course/course_problem.hpp"
#include "core/analysis/readings/rounded_reading.hpp"

namespace nestcup {
namespace {

/// The course's parameters and, last, the logarithm of the noise.
constexpr int count = course::count + 1;
constexpr int log_sd = course::count;
using State = Eigen::Matrix<double, count, 1>;
using StateMatrix = Eigen::Matrix<double, count, count>;

constexpr int rounds = 8;  // to learn the shape, each from the one before; not counted
constexpr int round_steps = 400;
constexpr int counted_steps = 16000;
/// Of the noise: probes in stirred liquid scatter by 5 to 30 mK (common practice).
constexpr double usual_noise_K = 0.012, noise_factor = 0.8;

/// Readings that may lie near a border of their rounding interval; the others tell nothing.
std::vector<Sample> telling(CurveView curve, const CourseFit& fit) {
  constexpr double reach = 6.0;
  const MixingCourse course = fit.course();
  const Noise& noise = fit.noise;
  std::vector<Sample> kept;
  course::Vector slope;
  for (const Point& point : curve) {
    const double expected = course.at(point.time_s, slope);
    const double u_K = std::sqrt(slope.dot(fit.covariance * slope));
    const double inside_K = 0.5 * noise.step_K - std::abs(point.temperature_degC - expected);
    if (inside_K < reach * (1.5 * noise.sd_K + u_K)) {
      kept.push_back({point.time_s, point.temperature_degC, 1.0});
    }
  }
  return kept;
}

class Posterior {
 public:
  Posterior(CurveView curve, const CourseFit& fit, const CoursePrior& prior)
      : samples_(telling(curve, fit)),
        prior_(prior),
        step_K_(fit.noise.step_K),
        form_(fit.form),
        bounds_(samples_, prior, fit.noise, true, fit.form) {}

  [[nodiscard]] double log_density(const State& at) const {
    const course::Vector p = at.head<course::count>();
    if (bounds_.bounded(p) != p) return -INFINITY;
    const Noise noise{std::exp(at(log_sd)), step_K_};
    if (noise.sd_K < 0.01 * step_K_ || noise.sd_K > step_K_) return -INFINITY;
    const double away = std::log(noise.sd_K / usual_noise_K) / noise_factor;
    double sum = -0.5 * away * away;
    for (int i = 0; i < course::count; ++i) sum -= prior_.cost(i, p(i));
    const MixingCourse course(p, form_);
    LogProduct product;
    for (const Sample& sample : samples_) {
      product.add(sample.temperature_degC, course.at(sample.time_s), noise);
    }
    return sum + product.value();
  }

 private:
  std::vector<Sample> samples_;
  const CoursePrior& prior_;
  double step_K_;
  course::Form form_;
  CourseProblem bounds_;
};

struct Moments {
  double steps = 0.0;
  State mean = State::Zero();
  StateMatrix products = StateMatrix::Zero();

  void add(const State& state) {
    steps += 1.0;
    const State away = state - mean;
    mean += away / steps;
    products += away * (state - mean).transpose();
  }
  [[nodiscard]] StateMatrix covariance() const { return products / std::max(1.0, steps - 1.0); }
};

class Walk {
 public:
  Walk(const Posterior& posterior, State start)
      : posterior_(posterior), here_(std::move(start)), density_(posterior.log_density(here_)) {}

  /// @param shape  covariance whose scaled root makes the steps
  Moments walk(int steps, const StateMatrix& shape) {
    const StateMatrix root = StateMatrix(shape.llt().matrixL()) * scale_;
    Moments moments;
    int accepted = 0;
    for (int i = 0; i < steps; ++i) {
      State z;
      for (int j = 0; j < count; ++j) z(j) = normal_(random_);
      const State there = here_ + root * z;
      const double density = posterior_.log_density(there);
      if (std::log(uniform_(random_)) < density - density_) {
        here_ = there;
        density_ = density;
        ++accepted;
      }
      moments.add(here_);
    }
    // About a quarter of the steps should be taken.
    const double share = static_cast<double>(accepted) / steps;
    scale_ *= std::clamp(std::exp(2.0 * (share - 0.25)), 0.6, 1.6);
    return moments;
  }

 private:
  const Posterior& posterior_;
  State here_;
  double density_;
  // 2.4 over the root of the dimension is best for a normal distribution (Gelman, Roberts and
  // Gilks, Bayesian Statistics 5 (1996) 599).
  double scale_ = 2.4 / std::sqrt(static_cast<double>(count));
  boost::random::mt19937_64 random_{20260901};
  boost::random::normal_distribution<double> normal_;
  boost::random::uniform_01<double> uniform_;
};

}  // namespace

void take_posterior(CourseFit& fit, CurveView curve, const CoursePrior& prior) {
  const Posterior posterior(curve, fit, prior);
  State start;
  // Begun with much noise, the walk is not caught in the intervals that the fit happens to thread.
  start << fit.parameters, std::log(std::max(fit.noise.sd_K, fit.noise.step_K / 8.0));
  StateMatrix shape = StateMatrix::Zero();
  shape.topLeftCorner<course::count, course::count>() = fit.covariance;
  shape(log_sd, log_sd) = 0.1;
  const int taking_part = course::taking_part(fit.form);
  for (int i = taking_part; i < course::count; ++i) {
    shape.row(i).setZero();
    shape.col(i).setZero();
    shape(i, i) = 1e-12;
  }
  Walk walk(posterior, start);
  for (int round = 0; round < rounds; ++round) {
    shape = 0.5 * shape + 0.5 * walk.walk(round_steps, shape).covariance();
  }
  const Moments all = walk.walk(counted_steps, shape);
  fit.parameters.head(taking_part) = all.mean.head(taking_part);
  fit.covariance.topLeftCorner(taking_part, taking_part) =
      all.covariance().topLeftCorner(taking_part, taking_part);
  fit.noise.sd_K = std::exp(all.mean(log_sd));
}

}  // namespace nestcup
