// Thermistors against published coefficients and tables.
#include "drivers/transducer/thermistor.hpp"

#include <array>
#include <cmath>

#include "tests/catch.hpp"

using namespace nestcup;
using namespace nestcup::drivers;

namespace {

/// A widely published set for a 10 kohm probe (10 kohm at 25 degC).
constexpr SteinhartHart published{1.129148e-3, 2.34125e-4, 8.76741e-8};

/// Three points of a published instrument-application table.
constexpr ThermistorPoints table_points{{{{32128.0, 0.0}, {9814.0, 25.0}, {3542.0, 50.0}}}};

}  // namespace

TEST_CASE("the published Steinhart-Hart set gives its resistances and temperatures") {
  // Computed from the published coefficients with the published equation, independently.
  const std::array<std::array<double, 2>, 5> ohm_at{
      {{0, 32650.375}, {20, 12493.150}, {25, 9999.854}, {50, 3601.035}, {100, 678.424}}};
  for (const auto& [degC, ohm] : ohm_at) {
    INFO(degC);
    CHECK_THAT(thermistor_ohm(published, degC), WithinAbs(ohm, 5.01e-4));
  }
  const std::array<std::array<double, 2>, 5> degC_at{
      {{10000, 24.9997}, {19899, 10.0041}, {8056, 29.9998}, {5324, 40.0044}, {3601, 50.0003}}};
  for (const auto& [ohm, degC] : degC_at) {
    INFO(ohm);
    CHECK_THAT(thermistor_degC(published, ohm), WithinAbs(degC, 5.01e-5));
  }
}

TEST_CASE("three points of a published table give its other rows") {
  const auto law = steinhart_hart(table_points);
  REQUIRE(law.ok());
  // The coefficients as computed independently from the same three points.
  CHECK_THAT(law->a, WithinRel(1.10415912e-3, 1e-8));
  CHECK_THAT(law->b, WithinRel(2.38917947e-4, 1e-8));
  CHECK_THAT(law->c, WithinRel(6.93162653e-8, 1e-8));
  for (const auto& pair : table_points.pairs) {
    CHECK_THAT(thermistor_degC(*law, pair.ohm), WithinAbs(pair.degC, 1e-9));
  }
  // The table's rows for 10, 20 and 30 degC; it prints whole ohm.
  const std::array<std::array<double, 3>, 3> rows{
      {{19549, 10, 10.0001}, {12262, 20, 19.9994}, {7908, 30, 29.9978}}};
  for (const auto& [ohm, printed_degC, fit_degC] : rows) {
    CHECK_THAT(thermistor_degC(*law, ohm), WithinAbs(fit_degC, 5.01e-5));
    CHECK_THAT(thermistor_degC(*law, ohm), WithinAbs(printed_degC, 0.003));
  }
}

TEST_CASE("the order of the three points does not matter") {
  const auto law = steinhart_hart(table_points);
  ThermistorPoints turned = table_points;
  std::swap(turned.pairs[0], turned.pairs[2]);
  std::swap(turned.pairs[0], turned.pairs[1]);
  const auto same = steinhart_hart(turned);
  REQUIRE(same.ok());
  CHECK(same->a == law->a);
  CHECK(same->b == law->b);
  CHECK(same->c == law->c);
}

TEST_CASE("beta is exact at its reference and half a kelvin off 25 K away") {
  const SteinhartHart law = steinhart_hart(BetaLaw{3950.0, 10'000.0, 25.0});
  CHECK_THAT(thermistor_degC(law, 10'000.0), WithinAbs(25.0, 1e-10));
  // 1/T = 1/298.15 K + ln(3.265)/3950 K by hand: 273.704 K.
  CHECK_THAT(thermistor_degC(law, 32650.0), WithinAbs(0.554, 5e-4));
  CHECK_THAT(thermistor_degC(law, 32650.0) - thermistor_degC(published, 32650.0),
             WithinAbs(0.55, 0.005));
}

TEST_CASE("temperature to resistance and back is exact for every law") {
  const std::array<SteinhartHart, 5> laws{
      published,
      steinhart_hart(table_points).value(),
      steinhart_hart(BetaLaw{3435.0, 2252.0, 25.0}),
      SteinhartHart{1.129148e-3, 2.34125e-4, 1e-22},  // c next to nothing
      SteinhartHart{0.9e-3, 2.6e-4, -4e-8},           // c below 0, as a fit may give
  };
  for (const SteinhartHart& law : laws) {
    double before_ohm = HUGE_VAL;
    for (double degC = lowest_thermistor_degC; degC <= highest_thermistor_degC; degC += 0.25) {
      const double ohm = thermistor_ohm(law, degC);
      REQUIRE(ohm < before_ohm);
      before_ohm = ohm;
      REQUIRE_THAT(thermistor_degC(law, ohm), WithinAbs(degC, 1e-9));
    }
  }
}

TEST_CASE("laws that are none are refused with what to look at") {
  using Law = std::variant<SteinhartHart, BetaLaw, ThermistorPoints>;
  const auto pairs = [](double r1, double t1, double r2, double t2, double r3, double t3) {
    return Law{ThermistorPoints{{{{r1, t1}, {r2, t2}, {r3, t3}}}}};
  };
  struct Row {
    Law law;
    const char* told;
  };
  const std::array<Row, 12> rows{{
      {SteinhartHart{1.129148e-3, 2.34125e-3, 8.76741e-8}, "beta of"},
      {SteinhartHart{1.129148e-3, 2.34125e-5, 8.76741e-8}, "powers of ten"},
      {SteinhartHart{1.129148e-3, 2.34125e-4, 8.76741e-6}, "powers of ten"},
      {SteinhartHart{1.129148e-3, -2.34125e-4, 8.76741e-8}, "powers of ten"},
      {SteinhartHart{1.129148e-3, 2.34125e-4, -8.76741e-4}, "powers of ten"},
      {SteinhartHart{1.129148, 2.34125e-4, 8.76741e-8}, "powers of ten"},
      {SteinhartHart{std::nan(""), 2.34125e-4, 8.76741e-8}, "powers of ten"},
      {SteinhartHart{1.129148e-3, 0.0, 0.0}, "powers of ten"},
      {BetaLaw{0.0, 10'000.0, 25.0}, "powers of ten"},
      {pairs(1000, 10, 1000, 20, 500, 30), "falls with temperature"},
      {pairs(100, 0, 110, 25, 120, 50), "falls with temperature"},
      {pairs(-1000, 10, 900, 20, 500, 30), "positive resistance"},
  }};
  for (const Row& row : rows) {
    const auto law = steinhart_hart(row.law);
    REQUIRE_FALSE(law.ok());
    CHECK(law.error().kind == Fault::bad_configuration);
    CHECK_THAT(law.error().text, ContainsSubstring(row.told));
  }
  CHECK(steinhart_hart(Law{published}).ok());
  CHECK(steinhart_hart(Law{table_points}).ok());
  CHECK(steinhart_hart(Law{BetaLaw{}}).ok());
}
