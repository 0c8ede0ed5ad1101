#include "tests/bench/trial_grid.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>

#include "tests/bench/draw.hpp"

namespace nestcup::bench {
namespace {

constexpr double longest_step_s = 0.1;

struct State {
  double cup = 0.0, unreleased = 0.0, probe = 0.0;
};

State sum(const State& a, double factor, const State& b) {
  return {a.cup + factor * b.cup, a.unreleased + factor * b.unreleased, a.probe + factor * b.probe};
}

/// One smooth stretch: before, in or behind the pour.
struct Stretch {
  const Trial& trial;
  bool pouring, poured;

  [[nodiscard]] double rate(double time_s) const {
    const double before = trial.ratio * trial.rate_per_s;
    if (poured) return trial.rate_per_s;
    if (!pouring || trial.change == RateChange::at_end) return before;
    if (trial.change == RateChange::at_start) return trial.rate_per_s;
    const double share = (time_s - trial.mixing_s) / trial.pour_s;
    return before + share * (trial.rate_per_s - before);
  }

  [[nodiscard]] State slope(double time_s, const State& state) const {
    const double released = state.unreleased / trial.release_s;
    const double arriving = pouring ? trial.rise_K / trial.pour_s : 0.0;
    return {rate(time_s) * (trial.rest_degC - state.cup) + released, arriving - released,
            (state.cup - state.probe) / trial.lag_s};
  }

  [[nodiscard]] State carried(State state, double from_s, double to_s) const {
    const int steps = std::max(1, static_cast<int>(std::ceil((to_s - from_s) / longest_step_s)));
    const double h = (to_s - from_s) / steps;
    for (int i = 0; i < steps; ++i) {
      const double t = from_s + i * h;
      const State a = slope(t, state);
      const State b = slope(t + 0.5 * h, sum(state, 0.5 * h, a));
      const State c = slope(t + 0.5 * h, sum(state, 0.5 * h, b));
      const State d = slope(t + h, sum(state, h, c));
      state = sum(sum(sum(sum(state, h / 6.0, a), h / 3.0, b), h / 3.0, c), h / 6.0, d);
    }
    return state;
  }
};

/// Fisher information of one rounded reading about its expected value.
double reading_information(double expected, double noise_K, double step_K) {
  const auto density = [](double z) { return std::exp(-0.5 * z * z) * 0.3989422804014327; };
  const auto below = [](double z) { return 0.5 * std::erfc(-z / std::sqrt(2.0)); };
  double sum = 0.0;
  const double first = std::floor((expected - 9.0 * noise_K) / step_K);
  const double last = std::ceil((expected + 9.0 * noise_K) / step_K);
  for (double n = first; n <= last; ++n) {
    const double low = ((n - 0.5) * step_K - expected) / noise_K;
    const double high = ((n + 0.5) * step_K - expected) / noise_K;
    const double p = low > 0.0 ? below(-low) - below(-high) : below(high) - below(low);
    const double change = density(low) - density(high);
    if (p > 1e-250) sum += change * change / p;
  }
  return sum / (noise_K * noise_K);
}

}  // namespace

Trial drawn_trial(std::mt19937_64& random, Display display) {
  Trial trial;
  const double direction = sign(random);
  trial.rise_K = direction * log_uniform(random, 0.5, 20.0);
  trial.rate_per_s = log_uniform(random, 1e-4, 8e-4);
  trial.release_s = log_uniform(random, 0.5, 25.0);
  trial.lag_s = log_uniform(random, 1.0, 10.0);
  trial.pour_s = uniform(random, 1.0, 5.0);
  trial.mixing_s = uniform(random, 60.0, 150.0);
  trial.rest_degC = uniform(random, 19.0, 24.0);
  trial.start_degC = trial.rest_degC + uniform(random, -1.5, 1.5);
  trial.ratio = one_of(random, std::array{1.0, 1.4, 2.0});
  trial.interval_s = one_of(random, std::array{0.2, 0.5, 1.0, 2.0});
  trial.end_s = trial.mixing_s + one_of(random, std::array{180.0, 240.0, 300.0});
  if (display == Display::coarse) {
    trial.noise_K = one_of(random, std::array{0.005, 0.01, 0.02});
    trial.step_K = one_of(random, std::array{0.0625, 0.1});
    return trial;
  }
  trial.noise_K = one_of(random, std::array{0.005, 0.01, 0.02, 0.05});
  do {
    trial.step_K = one_of(random, std::array{0.001, 0.01, 0.031, 0.0625});
  } while (trial.step_K > 3.0 * trial.noise_K);
  return trial;
}

std::vector<double> smooth_course(const Trial& trial) {
  std::vector<double> course;
  const double fore_rate = trial.ratio * trial.rate_per_s;
  const double away = trial.start_degC - trial.rest_degC;
  int i = 0;
  for (; i * trial.interval_s < trial.mixing_s; ++i) {
    const double since_s = i * trial.interval_s - trial.mixing_s;
    course.push_back(trial.rest_degC +
                     away * std::exp(-fore_rate * since_s) / (1.0 - fore_rate * trial.lag_s));
  }
  State state{trial.start_degC, 0.0, trial.rest_degC + away / (1.0 - fore_rate * trial.lag_s)};
  double now_s = trial.mixing_s;
  const double poured_s = trial.mixing_s + trial.pour_s;
  for (; i * trial.interval_s <= trial.end_s; ++i) {
    const double next_s = i * trial.interval_s;
    if (now_s < poured_s) {
      const double until_s = std::min(next_s, poured_s);
      state = Stretch{trial, true, false}.carried(state, now_s, until_s);
      now_s = until_s;
    }
    if (now_s < next_s) state = Stretch{trial, false, true}.carried(state, now_s, next_s);
    now_s = next_s;
    course.push_back(state.probe);
  }
  return course;
}

Curve readings_of(const Trial& trial, std::mt19937_64& random) {
  Curve curve;
  std::normal_distribution<double> noise(0.0, trial.noise_K);
  const std::vector<double> smooth = smooth_course(trial);
  for (std::size_t i = 0; i < smooth.size(); ++i) {
    const double value = smooth[i] + noise(random);
    curve.push_back({static_cast<double>(i) * trial.interval_s,
                     std::round(value / trial.step_K) * trial.step_K});
  }
  return curve;
}

Bounds bounds_of(const Trial& trial) {
  constexpr int count = 9;
  using Change = void (*)(Trial&, double);
  const std::array<Change, count> changes{[](Trial& t, double by) { t.rise_K += by; },
                                          [](Trial& t, double by) { t.mixing_s += by; },
                                          [](Trial& t, double by) { t.start_degC += by; },
                                          [](Trial& t, double by) { t.rest_degC += by; },
                                          [](Trial& t, double by) { t.rate_per_s *= std::exp(by); },
                                          [](Trial& t, double by) { t.ratio *= std::exp(by); },
                                          [](Trial& t, double by) { t.pour_s *= std::exp(by); },
                                          [](Trial& t, double by) { t.release_s *= std::exp(by); },
                                          [](Trial& t, double by) { t.lag_s *= std::exp(by); }};
  const std::vector<double> smooth = smooth_course(trial);
  Eigen::MatrixXd slopes(smooth.size(), count);
  for (int j = 0; j < count; ++j) {
    constexpr double by = 1e-3;
    Trial up = trial, down = trial;
    changes[static_cast<std::size_t>(j)](up, by);
    changes[static_cast<std::size_t>(j)](down, -by);
    const std::vector<double> high = smooth_course(up), low = smooth_course(down);
    for (std::size_t i = 0; i < smooth.size(); ++i) {
      slopes(static_cast<Eigen::Index>(i), j) = (high[i] - low[i]) / (2.0 * by);
    }
  }
  for (std::size_t i = 0; i < smooth.size(); ++i) {
    slopes.row(static_cast<Eigen::Index>(i)) *=
        std::sqrt(reading_information(smooth[i], trial.noise_K, trial.step_K));
  }
  Eigen::MatrixXd information = slopes.transpose() * slopes;
  // Only so much that a parameter without any trace in the readings leaves the matrix regular.
  information.diagonal().array() += 1e-4;
  const Eigen::MatrixXd covariance = information.inverse();
  return {std::sqrt(covariance(0, 0)), std::sqrt(covariance(1, 1))};
}

}  // namespace nestcup::bench
