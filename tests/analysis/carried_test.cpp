// A probe on its way through air into another liquid: its course, and how it is told from a mixing.
#include <cmath>

#include "core/analysis/course/carried_course.hpp"
#include "core/analysis/course/rival_courses.hpp"
#include "tests/analysis/newton_cup.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

/// From a cup at 21 degC through air, for `air_s` until 100 s, into a liquid `way_K` warmer.
carried::Vector visit(double air_s, double air_K, double way_K) {
  carried::Vector p;
  p << 21.0, 20.0, std::log(3e-4), std::log(5e-4), 100.0, std::log(air_s), air_K, std::log(40.0),
      way_K, std::log(3.0);
  return p;
}

Curve readings_of(const CarriedCourse& course) {
  Curve curve;
  carried::Vector slope;
  for (double time_s = 0.0; time_s < 280.0; time_s += 0.5) {
    curve.push_back({time_s, course.at(time_s, slope)});
  }
  return with_noise(curve, 0.01, 0.001, 11);
}

}  // namespace

TEST_CASE("a carried probe follows Newton's law in cup, air and vessel, without a jump") {
  const CarriedCourse course(visit(8.0, -2.0, 6.0));
  carried::Vector slope;
  // dT/dt = rate (towards - T) by differences, where the surroundings stand still.
  const auto rate = [&](double time_s, double towards_degC) {
    const double by_s = 1e-3, now_degC = course.at(time_s, slope);
    return (course.at(time_s + by_s, slope) - course.at(time_s - by_s, slope)) / (2.0 * by_s) /
           (towards_degC - now_degC);
  };
  CHECK_THAT(rate(50.0, 20.0), WithinAbs(3e-4, 1e-7));
  CHECK_THAT(rate(96.0, 18.0), WithinAbs(1.0 / 40.0, 1e-5));
  CHECK_THAT(rate(250.0, 20.0), WithinAbs(5e-4, 1e-7));
  for (const double kink_s : {92.0, 100.0}) {
    const double before = course.at(kink_s - 1e-9, slope);
    CHECK_THAT(course.at(kink_s + 1e-9, slope), WithinAbs(before, 1e-6));
  }
}

TEST_CASE("the slopes of a carried probe's course are those of its value") {
  const carried::Vector p = visit(8.0, -2.0, 6.0);
  for (const double time_s : {40.0, 95.0, 103.0, 250.0}) {
    carried::Vector slope, unused;
    (void)CarriedCourse(p).at(time_s, slope);
    for (int i = 0; i < carried::count; ++i) {
      const double by = 1e-5;
      const double up = CarriedCourse(p + by * carried::Vector::Unit(i)).at(time_s, unused);
      const double down = CarriedCourse(p - by * carried::Vector::Unit(i)).at(time_s, unused);
      INFO("parameter " << i << " at " << time_s << " s");
      CHECK_THAT(slope(i), WithinAbs((up - down) / (2.0 * by), 1e-6 + 1e-6 * std::abs(slope(i))));
    }
  }
}

TEST_CASE("a probe that comes through air is weighed above a mixing, and a mixing above it") {
  const Noise noise{0.01, 0.001};
  for (const double way_K : {-4.0, 1.5, 8.0}) {
    const Curve moved = readings_of(CarriedCourse(visit(8.0, -2.0, way_K)));
    const RivalCourses rivals = weigh_rivals(moved, 98.0, noise);
    CHECK(rivals.carried > rivals.mixing + 5.0);
    CHECK_FALSE(rivals.allow_mixing());
  }
  NewtonCup cup;
  cup.lag_s = 4.0;
  const Curve mixed = with_noise(newton_curve(cup), 0.01, 0.001, 12);
  const RivalCourses rivals = weigh_rivals(mixed, cup.mixing_s + 3.0, noise);
  CHECK(rivals.mixing > rivals.carried + 5.0);
  CHECK(rivals.allow_mixing());
}

TEST_CASE("a probe that comes into a cup out of air, where it was still cooling, is no mixing") {
  const Curve back = readings_of(CarriedCourse(visit(130.0, -4.0, 3.0)));
  CHECK_FALSE(weigh_rivals(back, 101.0, {0.01, 0.001}).allow_mixing());
}
