#include "core/analysis/response.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>

namespace nestcup {
namespace {

/// Integral from 0 to t of the step response of two delays in a row.
double step_integral(double t, double first_s, double second_s) {
  if (t <= 0.0) return 0.0;
  const double x = first_s * first_s * std::exp(-t / first_s);
  const double y = second_s * second_s * std::exp(-t / second_s);
  return t - (first_s + second_s) + (x - y) / (first_s - second_s);
}

constexpr int parameters = 5;  // time, ln pour, ln first, ln second, rise
using Vector = Eigen::Matrix<double, parameters, 1>;
using Matrix = Eigen::Matrix<double, parameters, parameters>;

double modelled(const Vector& p, double time_s) {
  return p(4) * response(time_s - p(0), std::exp(p(1)), std::exp(p(2)), std::exp(p(3)));
}

/// Sum of squares with prior knowledge of pour, release and lag.
class Problem {
 public:
  Problem(CurveView course, double sd_K, double rise_K) : course_(course), sd_K_(sd_K) {
    mean_ << 0.0, std::log(2.5), std::log(2.0), std::log(6.0), rise_K;
    weight_ << 0.0, 1.0 / 0.7, 1.0 / 1.0, 1.0 / 1.0, 0.0;
  }

  [[nodiscard]] double squares(const Vector& p) const {
    double sum = (p - mean_).cwiseProduct(weight_).squaredNorm();
    for (const Point& point : course_) {
      const double residual = (point.temperature_degC - modelled(p, point.time_s)) / sd_K_;
      sum += residual * residual;
    }
    return sum;
  }

  /// Normal matrix and gradient; derivatives by central differences.
  void linearise(const Vector& p, Matrix& normal, Vector& gradient) const {
    const Vector pull = (mean_ - p).cwiseProduct(weight_);
    normal = weight_.cwiseAbs2().asDiagonal();
    gradient = pull.cwiseProduct(weight_);
    for (const Point& point : course_) {
      Vector slope;
      for (int i = 0; i < parameters; ++i) {
        const double h = i == 4 ? 1e-4 : 1e-3;
        Vector up = p, down = p;
        up(i) += h;
        down(i) -= h;
        slope(i) = (modelled(up, point.time_s) - modelled(down, point.time_s)) / (2.0 * h * sd_K_);
      }
      normal.noalias() += slope * slope.transpose();
      gradient.noalias() += slope * ((point.temperature_degC - modelled(p, point.time_s)) / sd_K_);
    }
  }

 private:
  CurveView course_;
  double sd_K_;
  Vector mean_, weight_;
};

/// Keeps the logarithms where the closed forms are sound.
Vector bounded(Vector p) {
  p(1) = std::clamp(p(1), std::log(0.1), std::log(60.0));
  p(2) = std::clamp(p(2), std::log(0.05), std::log(300.0));
  p(3) = std::clamp(p(3), std::log(0.05), std::log(300.0));
  return p;
}

Vector minimised(const Problem& problem, Vector p, double& best) {
  best = problem.squares(p);
  double damping = 1e-2;
  for (int turn = 0; turn < 40; ++turn) {
    Matrix normal;
    Vector gradient;
    problem.linearise(p, normal, gradient);
    bool better = false;
    double gain = 0.0;
    while (!better && damping < 1e9) {
      Matrix damped = normal;
      damped.diagonal() *= 1.0 + damping;
      const Vector next = bounded(p + damped.ldlt().solve(gradient));
      const double there = problem.squares(next);
      if (std::isfinite(there) && there < best) {
        gain = best - there;
        best = there;
        p = next;
        better = true;
        damping = std::max(1e-9, damping * 0.2);
      } else {
        damping *= 5.0;
      }
    }
    if (!better || gain < 1e-6 * (1.0 + best)) break;
  }
  return p;
}

}  // namespace

double response(double since_s, double pour_s, double first_s, double second_s) {
  if (since_s <= 0.0) return 0.0;
  // Equal delays make the closed form 0/0; a part in a thousand apart they differ by nothing.
  if (std::abs(first_s - second_s) < 1e-3 * second_s) first_s = second_s * 1.001;
  return (step_integral(since_s, first_s, second_s) -
          step_integral(since_s - pour_s, first_s, second_s)) /
         pour_s;
}

MixingFit fit_mixing(CurveView course, double hint_s, double rise_K, const Noise& noise) {
  const double sd_K = std::max(noise.total_K(), 1e-4);
  const Problem problem(course, sd_K, rise_K);
  MixingFit fit;
  double best = INFINITY;
  Vector p;
  for (const double slower_s : {2.0, 8.0, 25.0}) {
    Vector start;
    start << hint_s - 1.0, std::log(2.5), std::log(1.5), std::log(slower_s), rise_K;
    double squares = 0.0;
    const Vector end = minimised(problem, start, squares);
    if (squares < best) {
      best = squares;
      p = end;
    }
  }
  Matrix normal;
  Vector gradient;
  problem.linearise(p, normal, gradient);
  const auto n = static_cast<double>(course.size());
  const double misfit = std::max(1.0, best / std::max(1.0, n - parameters));
  const Matrix covariance = (normal + 1e-12 * Matrix::Identity()).inverse() * misfit;
  fit.time_s = p(0);
  fit.u_time_s = std::sqrt(std::max(0.0, covariance(0, 0)));
  fit.rise_K = p(4);
  fit.sd_K = sd_K * std::sqrt(misfit);
  fit.pour_s = std::exp(p(1));
  fit.first_s = std::exp(p(2));
  fit.second_s = std::exp(p(3));
  return fit;
}

}  // namespace nestcup
