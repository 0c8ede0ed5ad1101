// The course of a mixing in closed form against numerical integration, and its slopes.
#include "core/analysis/course/mixing_course.hpp"

#include <cmath>

#include "tests/analysis/newton_cup.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

constexpr double lid_share = -0.06, lid_s = 90.0;

/// Parameters of a cup with a release and, of the second one, its share.
course::Vector parameters_of(const NewtonCup& cup) {
  course::Vector p;
  const double start_degC =
      cup.rest_degC + (cup.start_degC - cup.rest_degC) * std::exp(-cup.rate_per_s * cup.mixing_s);
  const double whole_K = cup.releases[0].rise_K + cup.releases[1].rise_K;
  p << start_degC, cup.rest_degC, std::log(cup.after_rate_per_s),
      std::log(cup.rate_per_s / cup.after_rate_per_s), whole_K, cup.mixing_s, std::log(0.05),
      std::log(cup.releases[0].delay_s), std::log(cup.lag_s), cup.releases[1].rise_K / whole_K,
      std::log(cup.releases[1].delay_s), lid_share, std::log(lid_s);
  return p;
}

NewtonCup two_release_cup() {
  NewtonCup cup;
  cup.rate_per_s = 6e-4;
  cup.after_rate_per_s = 4e-4;
  cup.lag_s = 4.0;
  cup.releases = {{5.0, 3.0}, {1.5, 30.0}};
  return cup;
}

}  // namespace

TEST_CASE("the course is what integration gives") {
  const NewtonCup cup = two_release_cup();
  const MixingCourse course(parameters_of(cup), course::Form::two_releases);
  for (const Point& point : newton_curve(cup)) {
    // The numerical cup takes all at once, the course over 50 ms, which is 25 ms later.
    const double shifted_s = point.time_s > cup.mixing_s ? point.time_s + 0.025 : point.time_s;
    if (std::abs(point.time_s - cup.mixing_s) < 0.1) continue;
    INFO(point.time_s);
    CHECK_THAT(course.at(shifted_s), WithinAbs(point.temperature_degC, 1e-4));
  }
}

TEST_CASE("a lid follows both releases as integration gives it") {
  NewtonCup cup = two_release_cup();
  const MixingCourse course(parameters_of(cup), course::Form::with_lid);
  for (const Release& release : two_release_cup().releases) {
    cup.releases.push_back({lid_share * release.rise_K, release.delay_s, lid_s});
  }
  const Curve curve = newton_curve(cup);
  for (const Point& point : curve) {
    const double shifted_s = point.time_s > cup.mixing_s ? point.time_s + 0.025 : point.time_s;
    if (std::abs(point.time_s - cup.mixing_s) < 0.1) continue;
    INFO(point.time_s);
    CHECK_THAT(course.at(shifted_s), WithinAbs(point.temperature_degC, 1e-4));
  }
  CHECK_THAT(course.after_at(2400.0), WithinAbs(course.at(2400.0), 1e-6));
  // Without the lid the whole heat would show.
  const MixingCourse without(parameters_of(cup), course::Form::two_releases);
  CHECK(without.at(300.0) - curve.back().temperature_degC > 0.3);
}

TEST_CASE("a lid may take as long as a release") {
  course::Vector p = parameters_of(two_release_cup());
  const double slow = p(course::log_slow);
  const auto at = [&](double log_lid) {
    p(course::log_lid) = log_lid;
    return MixingCourse(p, course::Form::with_lid).at(140.0);
  };
  CHECK_THAT(at(slow), WithinAbs(0.5 * (at(slow - 0.01) + at(slow + 0.01)), 1e-4));
}

TEST_CASE("the slopes are those of the course") {
  course::Vector p = parameters_of(two_release_cup());
  p(course::log_pour) = std::log(3.0);
  const auto form =
      GENERATE(course::Form::one_release, course::Form::one_thinned, course::Form::one_sheet,
               course::Form::one_rod, course::Form::one_grain, course::Form::two_releases,
               course::Form::two_thinned, course::Form::with_lid);
  for (const double time_s : {20.0, 80.0, 91.3, 95.0, 110.0, 280.0}) {
    course::Vector slope;
    MixingCourse(p, form).at(time_s, slope);
    for (int i = 0; i < course::taking_part(form); ++i) {
      constexpr double by = 1e-5;
      course::Vector up = p, down = p;
      up(i) += by;
      down(i) -= by;
      const double wanted =
          (MixingCourse(up, form).at(time_s) - MixingCourse(down, form).at(time_s)) / (2.0 * by);
      INFO(time_s << " parameter " << i);
      CHECK_THAT(slope(i), WithinAbs(wanted, 1e-7 + 1e-5 * std::abs(wanted)));
    }
  }
}

TEST_CASE("both periods' courses meet the whole course away from the mixing") {
  const MixingCourse course(parameters_of(two_release_cup()), course::Form::two_releases);
  CHECK_THAT(course.after_at(600.0), WithinAbs(course.at(600.0), 1e-6));
  CHECK_THAT(course.fore_at(90.0),
             WithinAbs(two_release_cup().rest_degC - 2.0 * std::exp(-6e-4 * 90.0), 1e-12));
}
