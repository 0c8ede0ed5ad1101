// Draughts and open lids against mixings of the same size.
#include <cmath>

#include "core/analysis/course/passing_course.hpp"
#include "core/analysis/course/passing_fit.hpp"
#include "core/analysis/mixing/candidate.hpp"
#include "tests/analysis/newton_cup.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

constexpr double begin_s = 150.0, end_s = 390.0, rest_degC = 20.0, rate_per_s = 4e-4;
constexpr Noise noise{0.02, 0.001};

constexpr double draught_s = 30.0, probe_lag_s = 3.0;

/// A cup that leaks `factor` times as fast for a while.
PassingCourse draught_course(double start_degC, double factor) {
  passing::Vector p;
  p(passing::rest_degC) = rest_degC;
  p(passing::log_rate) = std::log(rate_per_s);
  p(passing::start_degC) = start_degC;
  p(passing::log_factor) = std::log(factor);
  p(passing::heating_K_per_s) = 0.0;
  p(passing::begin_s) = begin_s;
  p(passing::log_length) = std::log(draught_s);
  p(passing::log_lag) = std::log(probe_lag_s);
  return PassingCourse(p);
}

Curve in_draught(double start_degC, double factor, std::uint64_t seed) {
  const PassingCourse course = draught_course(start_degC, factor);
  Curve curve;
  for (double time_s = 0.0; time_s < end_s; time_s += 2.0) {
    curve.push_back({time_s, course.at(time_s)});
  }
  return with_noise(curve, noise.sd_K, noise.step_K, seed);
}

Curve mixed(double start_degC, double rise_K, std::uint64_t seed) {
  NewtonCup cup;
  cup.start_degC = start_degC;
  cup.rest_degC = rest_degC;
  cup.rate_per_s = cup.after_rate_per_s = rate_per_s;
  cup.releases = {{rise_K, 5.0}};
  cup.lag_s = probe_lag_s;
  cup.mixing_s = begin_s;
  cup.end_s = end_s;
  cup.interval_s = 2.0;
  return with_noise(newton_curve(cup), noise.sd_K, noise.step_K, seed);
}

}  // namespace

TEST_CASE("a passing change is what its differential equations give, also long before it begins") {
  constexpr double factor = 5.0, step_s = 1e-3;
  const PassingCourse course = draught_course(rest_degC + 10.0, factor);
  // The cup has 10 K where the draught begins; before, the probe is behind it by its lag.
  double cup_K = 10.0 * std::exp(rate_per_s * begin_s);
  double probe_K = cup_K / (1.0 - rate_per_s * probe_lag_s);
  double next_s = 0.0;
  for (int i = 0; step_s * i < end_s; ++i) {
    const double time_s = step_s * i;
    if (time_s >= next_s) {
      INFO(time_s);
      CHECK_THAT(course.at(time_s), WithinAbs(rest_degC + probe_K, 1e-4));
      next_s += 15.0;
    }
    const bool draught = time_s >= begin_s && time_s < begin_s + draught_s;
    probe_K += step_s * (cup_K - probe_K) / probe_lag_s;
    cup_K -= step_s * (draught ? factor : 1.0) * rate_per_s * cup_K;
  }
}

TEST_CASE("what a draught takes from a warm cup is no mixing; what is poured into it is one") {
  for (std::uint64_t seed = 1; seed <= 10; ++seed) {
    INFO(seed);
    // 10 K above rest, four times as much leak in addition: 0.48 K.
    const Curve draught = in_draught(rest_degC + 10.0, 5.0, seed);
    CHECK(judge_candidate(draught, begin_s + 8.0, begin_s + 45.0, false) != Verdict::mixing);
    const Curve poured = mixed(rest_degC + 10.0, -0.48, seed);
    CHECK(judge_candidate(poured, begin_s + 6.0, begin_s + 25.0, false) == Verdict::mixing);
  }
}

TEST_CASE("a draught explains what goes on towards rest, and nothing that leads away from it") {
  const double warm_degC = rest_degC + 10.0;
  const Curve draught = in_draught(warm_degC, 5.0, 1);
  const double onset_s = begin_s + 8.0;
  CHECK(draught_evidence(draught, onset_s, noise) > passing_evidence(draught, onset_s, noise));
  const Curve warmed = mixed(warm_degC, 0.48, 1);
  CHECK(draught_evidence(warmed, onset_s, noise) < passing_evidence(warmed, onset_s, noise) - 10.0);
}
