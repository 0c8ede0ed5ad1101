// The step of a display or converter, told from its readings.
#include "core/analysis/readings/display_step.hpp"

#include <cmath>

#include "tests/analysis/newton_cup.hpp"
#include "tests/bench/converters.hpp"
#include "tests/catch.hpp"

using namespace nestcup;
using bench::Converter;

namespace {

double step_K_of(const Curve& curve) {
  return display_step(curve).step_K;
}

/// Ten minutes of slow drift at two readings a second, over some tenths of a degree.
Curve slow_drift(double sd_K, double step_K, std::uint64_t seed) {
  NewtonCup cup;
  cup.releases.clear();
  cup.end_s = 600.0;
  return with_noise(newton_curve(cup), sd_K, step_K, seed);
}

Curve converted(Curve curve, Converter converter) {
  bench::convert(converter, curve);
  return curve;
}

Curve standing(double degC, int readings) {
  Curve curve;
  for (int i = 0; i < readings; ++i) curve.push_back({i * 1.0, degC});
  return curve;
}

}  // namespace

TEST_CASE("the display step is recognised, or its absence") {
  const double sd_K = GENERATE(0.005, 0.02);
  const double step_K = GENERATE(0.001, 0.01, 0.0625, 0.1);
  CHECK_THAT(step_K_of(slow_drift(sd_K, step_K, 4)), WithinRel(step_K, 1e-6));
  CHECK(step_K_of(slow_drift(sd_K, 0.0, 4)) == 0.0);
}

TEST_CASE("a step shows in readings that do not lie on whole multiples of it") {
  Curve curve = slow_drift(0.008, 0.01, 3);
  for (Point& point : curve) point.temperature_degC += 0.0037;
  CHECK_THAT(step_K_of(curve), WithinRel(0.01, 1e-6));
}

TEST_CASE("a display that stands still has the largest usual step that fits") {
  Curve curve;
  for (int i = 0; i < 20; ++i) curve.push_back({i * 1.0, i % 7 == 0 ? 21.3 : 21.4});
  CHECK(step_K_of(curve) == 0.1);
  for (Point& point : curve) point.temperature_degC = 21.3125;
  CHECK(step_K_of(curve) == 0.0625);
  CHECK(step_K_of({}) == 0.0);
}

TEST_CASE("few values that are all further apart than a step have the largest usual one") {
  Curve curve;
  for (const double degC : {22.2, 21.2, 22.2, 22.2, 20.0, 20.0, 20.0}) {
    curve.push_back({20.0 * static_cast<double>(curve.size()), degC});
  }
  CHECK(step_K_of(curve) == 0.1);
}

TEST_CASE("a converter whose steps are uneven has their mean") {
  const double sd_K = GENERATE(0.005, 0.02);
  // About 21 degC the divider's ten bits are 0.087 K apart: 1024 counts, beta 3950 K.
  const auto [converter, step_K] =
      GENERATE(table<Converter, double>({{Converter::sixteenths, 0.0625},
                                         {Converter::fahrenheit, 0.0556},
                                         {Converter::divider_10, 0.087},
                                         {Converter::divider_10_print, 0.087},
                                         {Converter::divider_12_print, 0.0218}}));
  const DisplayStep step = display_step(converted(slow_drift(sd_K, 0.0, 4), converter));
  CHECK_THAT(step.step_K, WithinRel(step_K, 0.1));
  // Two decimals: 10 mK over the root of twelve.
  const double most_K = converter == Converter::divider_10 ? 0.0005 : 0.005;
  CHECK(step.uneven_K <= most_K);
  if (converter != Converter::divider_10) CHECK(step.uneven_K > 0.001);
}

TEST_CASE("two values and nothing between are a converter's step, read quickly or time and again") {
  Curve curve = standing(22.07, 60);
  for (std::size_t i = 30; i < 60; ++i) curve[i].temperature_degC = 22.16;
  CHECK_THAT(step_K_of(curve), WithinRel(0.09, 1e-6));
  // Every 10 s a probe of some seconds may have gone all its way between two readings.
  for (Point& point : curve) point.time_s *= 10.0;
  CHECK(step_K_of(curve) == 0.01);
  for (std::size_t i = 0; i < 60; i += 7) curve[i].temperature_degC = 22.16;
  CHECK_THAT(step_K_of(curve), WithinRel(0.09, 1e-6));
}

TEST_CASE("a converter that says one odd value only may be as coarse as any") {
  CHECK(step_K_of(standing(22.07, 40)) == 0.1);
  CHECK(step_K_of(standing(22.0734567, 40)) == 0.1);
  CHECK(step_K_of(standing(22.0734567, 7)) == 0.0);
  CHECK(step_K_of(standing(22.03125, 40)) == 0.03125);
}

TEST_CASE("a mixing does not make a fine display a converter") {
  NewtonCup cup;
  cup.rest_degC = cup.start_degC = 21.0;
  cup.releases = {{0.3, 2.0}};
  cup.lag_s = 1.5;
  cup.interval_s = GENERATE(0.5, 1.0, 2.0);
  const double sd_K = GENERATE(0.0005, 0.002, 0.02);
  CHECK(step_K_of(with_noise(newton_curve(cup), sd_K, 0.01, 7)) < 0.0101);
}

TEST_CASE("values without a last decimal that never come again have no step") {
  Curve curve = slow_drift(0.01, 0.0, 8);
  // A board that is asked five times for each of its readings.
  for (std::size_t i = 0; i < curve.size(); ++i) {
    curve[i].temperature_degC = curve[i - i % 5].temperature_degC;
  }
  CHECK(step_K_of(curve) < 0.001);
}
