// Where the search for a slow part of the heat must not stop short of.
#include "core/analysis/course/slow_search.hpp"

#include <cmath>

#include "core/analysis/course/lack_of_fit.hpp"
#include "core/analysis/run/run_analysis.hpp"
#include "tests/analysis/followed.hpp"
#include "tests/analysis/newton_cup.hpp"
#include "tests/catch.hpp"

using namespace nestcup;
using Catch::Matchers::WithinAbs;

namespace {

constexpr double hint_s = 92.0;

/// Ice is put in: what it brings along mixes at once, what melts takes its time.
struct Ice {
  Curve curve;
  CoursePrior prior;
  Noise noise{0.008, 0.01};
  CourseFit plain;

  explicit Ice(std::uint64_t seed) {
    NewtonCup cup;
    cup.releases = {{-2.6, 0.3}, {-8.6, 22.0}};
    cup.lag_s = 3.5;
    curve = with_noise(newton_curve(cup), 0.008, 0.01, seed);
    prior = bench_prior(course_start_degC(curve, hint_s), hint_s, {});
    plain = best_course(curve, hint_s, noise, prior);
  }
};

/// A mixing of -2 K, its foreperiod on the edge between two digits of a coarse display.
Curve from_the_edge(std::uint64_t seed) {
  NewtonCup cup;
  cup.start_degC = 21.55;
  cup.rest_degC = 20.05;
  cup.rate_per_s = cup.after_rate_per_s = 1.7e-4;
  cup.releases = {{-2.0, 3.0}};
  cup.lag_s = 4.0;
  cup.mixing_s = 145.0;
  cup.end_s = 395.0;
  cup.interval_s = 0.1;
  return with_noise(newton_curve(cup), 0.006, 0.1, seed);
}

}  // namespace

TEST_CASE("where most of the heat comes slowly the search finds how much") {
  for (std::uint64_t seed = 1; seed <= 6; ++seed) {
    CAPTURE(seed);
    const Ice ice(seed);
    const CourseFit release =
        fitted_release(ice.curve, ice.plain, course::Form::two_releases, ice.noise, ice.prior);
    CHECK_FALSE(lack_of_fit(ice.curve, release).shows());
    CHECK_THAT(release.rise_K(), WithinAbs(-11.2, 0.02));
    CHECK_THAT(release.parameters(course::slow_share), WithinAbs(8.6 / 11.2, 0.1));
    CHECK_THAT(std::exp(release.parameters(course::log_slow)), WithinAbs(22.0, 0.5));
  }
}

TEST_CASE("no lid is seen beside a heat of which most comes slowly") {
  for (std::uint64_t seed = 1; seed <= 6; ++seed) {
    CAPTURE(seed);
    RunInput input;
    input.cup = Ice(seed).curve;
    input.onset_hint_s = hint_s;
    const RunAnalysis run = analyse_run(input);
    CAPTURE(run.estimates.front().note);
    CHECK_THAT(run.rise.value_K, WithinAbs(-11.2, 0.03));
    CHECK(run.rise.u_K < 0.01);
  }
}

TEST_CASE("of two fits the more probable one is taken, whatever scatter each of them found") {
  const Ice ice(1);
  const CourseFit release =
      fitted_release(ice.curve, ice.plain, course::Form::two_releases, ice.noise, ice.prior);
  CourseFit worse = ice.plain;
  worse.form = course::Form::two_releases;
  REQUIRE(worse.noise.total_K() > release.noise.total_K());
  CHECK(more_probable(ice.curve, worse, release, ice.prior).noise.sd_K == release.noise.sd_K);
  CHECK(more_probable(ice.curve, release, worse, ice.prior).noise.sd_K == release.noise.sd_K);
}

TEST_CASE("a mixing whose second step takes much of the heat back is found") {
  for (const double back : {-0.35, -0.5}) {
    for (std::uint64_t seed = 1; seed <= 3; ++seed) {
      CAPTURE(back, seed);
      NewtonCup cup;
      cup.releases = {{6.0, 3.0}, {back * 6.0, 30.0}};
      cup.lag_s = 3.0;
      const BenchReadings bench = cup_readings(with_noise(newton_curve(cup), 0.01, 0.01, seed));
      const auto runs = followed(bench);
      REQUIRE(runs.size() == 1);
      const RunAnalysis run = analyse_run(run_input(runs.front(), bench.roles));
      CHECK_THAT(run.rise.value_K, WithinAbs(6.0 + back * 6.0, 3.0 * run.rise.u_K));
    }
  }
}

TEST_CASE("a foreperiod on the edge between two digits hides no mixing and begins none", "[many]") {
  for (std::uint64_t seed = 1; seed <= 4; ++seed) {
    CAPTURE(seed);
    const auto runs = followed(cup_readings(from_the_edge(seed)));
    REQUIRE(runs.size() == 1);
    CHECK_THAT(static_cast<double>(runs.front().onset_us) / us_per_s, WithinAbs(147.5, 3.5));
  }
}
