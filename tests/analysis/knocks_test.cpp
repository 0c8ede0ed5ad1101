// Readings that stand out alone are left out, and no others.
#include "core/analysis/readings/knocks.hpp"

#include "tests/analysis/newton_cup.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

TEST_CASE("knocks are left out, wherever they are") {
  NewtonCup cup;
  Curve curve = with_noise(newton_curve(cup), 0.01, 0.01, 5);
  const std::size_t all = curve.size();
  curve[50].temperature_degC += 0.4;
  curve[205].temperature_degC -= 0.5;  // soon after the mixing
  for (const std::size_t i : {400U, 401U, 402U}) curve[i].temperature_degC += 0.3;
  const KnockFree free = without_knocks(curve, Noise{0.01, 0.01});
  CHECK(free.knocks == 3);
  CHECK(free.readings == 5);
  CHECK(free.curve.size() == all - 5);
  REQUIRE(free.left_out.size() == 5);
  CHECK(free.left_out[0].time_s == curve[50].time_s);
  CHECK(free.left_out[1].temperature_degC == curve[205].temperature_degC);
  CHECK(free.left_out[4].time_s == curve[402].time_s);
}

TEST_CASE("a mixing is no knock, nor is noise") {
  NewtonCup cup;
  cup.interval_s = GENERATE(0.1, 0.5, 2.0, 20.0);
  cup.releases = {{GENERATE(20.0, -0.6), GENERATE(0.3, 8.0)}};
  const double step_K = GENERATE(0.001, 0.1);
  const Curve curve = with_noise(newton_curve(cup), 0.01, step_K, 11);
  const KnockFree free = without_knocks(curve, Noise{0.01, step_K});
  CHECK(free.readings == 0);
  CHECK(free.curve.size() == curve.size());
}
