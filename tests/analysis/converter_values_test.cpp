// What a converter said, from what was printed of it.
#include "core/analysis/readings/converter_values.hpp"

#include <cmath>

#include "tests/analysis/newton_cup.hpp"
#include "tests/bench/converters.hpp"
#include "tests/catch.hpp"

using namespace nestcup;
using bench::Converter;

namespace {

Curve mixing_in(double sd_K, double step_K) {
  NewtonCup cup;
  cup.releases = {{2.0, 8.0}};
  return with_noise(newton_curve(cup), sd_K, step_K, 11);
}

/// Root of the mean square of the distances between two curves' temperatures, K.
double apart_K(const Curve& a, const Curve& b) {
  REQUIRE(a.size() == b.size());
  double sum_K2 = 0.0;
  for (std::size_t i = 0; i < a.size(); ++i) {
    sum_K2 += std::pow(a[i].temperature_degC - b[i].temperature_degC, 2);
  }
  return std::sqrt(sum_K2 / static_cast<double>(a.size()));
}

}  // namespace

TEST_CASE("sixteenths of a degree come back from two decimals, rounded or cut off") {
  const Curve sixteenths = mixing_in(0.01, 0.0625);
  Curve printed = sixteenths, cut_off = sixteenths;
  for (Point& point : printed) {
    point.temperature_degC = std::round(point.temperature_degC * 100.0) / 100.0;
  }
  for (Point& point : cut_off) {
    point.temperature_degC = std::floor(point.temperature_degC * 100.0 + 1e-6) / 100.0;
  }
  CHECK(apart_K(printed, sixteenths) > 0.001);
  CHECK(apart_K(as_converted(printed).curve, sixteenths) < 1e-9);
  CHECK(apart_K(as_converted(cut_off).curve, sixteenths) < 1e-9);
  CHECK(as_converted(printed).uneven_K == 0.0);
}

TEST_CASE("tenths of a degree Fahrenheit come back from two decimals") {
  Curve curve = mixing_in(0.01, 0.0), tenths = curve;
  bench::convert(Converter::fahrenheit, curve);
  for (Point& point : tenths) {
    const double fahrenheit = std::round(10.0 * (1.8 * point.temperature_degC + 32.0)) / 10.0;
    point.temperature_degC = (fahrenheit - 32.0) / 1.8;
  }
  CHECK(apart_K(as_converted(curve).curve, tenths) < 1e-9);
}

TEST_CASE("a thermistor's values lie nearer to their places again") {
  const Curve smooth = mixing_in(0.005, 0.0);
  Curve whole = smooth, printed = smooth;
  bench::convert(Converter::divider_10, whole);
  bench::convert(Converter::divider_10_print, printed);
  const Converted converted = as_converted(printed);
  CHECK(apart_K(converted.curve, whole) < 0.5 * apart_K(printed, whole));
  CHECK(converted.uneven_K > 0.001);
  // Nothing was lost of what was not printed.
  CHECK(apart_K(as_converted(whole).curve, whole) == 0.0);
}

TEST_CASE("what no converter has made stays as it is") {
  const double step_K = GENERATE(0.0, 0.001, 0.01, 0.0625, 0.1);
  const double sd_K = GENERATE(0.001, 0.02);
  const Curve curve = mixing_in(sd_K, step_K);
  CHECK(apart_K(as_converted(curve).curve, curve) < 1e-9);
  CHECK(as_converted(curve).uneven_K == 0.0);
  CHECK(as_converted({}).curve.empty());
}
