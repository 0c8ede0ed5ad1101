// Platinum resistance against IEC 60751; dividers and self-heating against Ohm's law.
#include <array>
#include <cmath>

#include "drivers/transducer/divider.hpp"
#include "drivers/transducer/platinum.hpp"
#include "drivers/transducer/self_heating.hpp"
#include "tests/catch.hpp"

using namespace nestcup;
using namespace nestcup::drivers;

TEST_CASE("Pt100 has the resistances of IEC 60751") {
  // Evaluated from the coefficients of IEC 60751:2008 to 0.1 mohm; the standard prints 0.01 ohm.
  const std::array<std::array<double, 2>, 15> rows{{{-20, 92.1599},
                                                    {-10, 96.0859},
                                                    {0, 100.0000},
                                                    {10, 103.9025},
                                                    {20, 107.7935},
                                                    {25, 109.7347},
                                                    {30, 111.6729},
                                                    {37, 114.3817},
                                                    {50, 119.3971},
                                                    {60, 123.2419},
                                                    {70, 127.0751},
                                                    {80, 130.8968},
                                                    {90, 134.7069},
                                                    {100, 138.5055},
                                                    {-200, 18.5201}}};
  for (const auto& [degC, ohm] : rows) {
    INFO(degC);
    CHECK_THAT(100.0 * platinum_ratio(degC), WithinAbs(ohm, 5.01e-5));
  }
  // Printed in the table of IEC 60751, to 0.01 ohm, from memory.
  const std::array<std::array<double, 2>, 7> printed{{{-200, 18.52},
                                                      {-100, 60.26},
                                                      {100, 138.51},
                                                      {200, 175.86},
                                                      {400, 247.09},
                                                      {600, 313.71},
                                                      {850, 390.48}}};
  for (const auto& [degC, ohm] : printed) {
    INFO(degC);
    CHECK_THAT(100.0 * platinum_ratio(degC), WithinAbs(ohm, 5.01e-3));
  }
}

TEST_CASE("platinum temperature solves the equation, below 0 degC as well") {
  double before = 0.0;
  for (double degC = -200.0; degC <= 850.0; degC += 0.125) {
    const double ratio = platinum_ratio(degC);
    REQUIRE(ratio > before);
    before = ratio;
    REQUIRE_THAT(platinum_degC(ratio), WithinAbs(degC, 1e-9));
  }
  // The quadratic alone would give -20.00102 degC.
  CHECK_THAT(platinum_degC(platinum_ratio(-20.0)), WithinAbs(-20.0, 1e-9));
  CHECK_THAT(platinum_degC(1.097347), WithinAbs(25.0, 2e-4));
  CHECK(std::isnan(platinum_degC(platinum_ratio(-200.0) - 1e-6)));
  CHECK(std::isnan(platinum_degC(platinum_ratio(850.0) + 1e-6)));
  CHECK(std::isnan(platinum_degC(std::nan(""))));
  CHECK(std::isnan(platinum_degC(HUGE_VAL)));
}

TEST_CASE("leads count twice with two wires, once with three, not with four") {
  PlatinumSettings platinum;
  platinum.lead_ohm = 0.4;
  const std::array<double, 3> terms_ohm{0.8, 0.4, 0.0};
  for (int wires = 2; wires <= 4; ++wires) {
    platinum.wires = wires;
    CHECK(lead_term_ohm(platinum) == terms_ohm[static_cast<std::size_t>(wires - 2)]);
  }
}

TEST_CASE("a divider's reading tells the probe's resistance, on either side") {
  const Divider below{10'000.0, true, 1023.0};
  const Divider above{10'000.0, false, 3.3};
  CHECK_THAT(divider_ohm(below, divider_ratio(below, 511.5)), WithinRel(10'000.0, 1e-12));
  // 2.2 V of 3.3 V across the 10 kohm: 1.1 V across the probe, 5 kohm.
  CHECK_THAT(divider_ohm(above, divider_ratio(above, 2.2)), WithinRel(5'000.0, 1e-12));
  for (const Divider& divider : {below, above}) {
    for (double ohm = 0.01; ohm < 1e9; ohm *= 1.37) {
      const double reading = divider_reading(divider, divider_ratio_of(divider, ohm));
      REQUIRE(reading > 0.0);
      REQUIRE(reading < divider.full_scale);
      const double tolerance = 1e-15 * (ohm + 10'000.0) * (1.0 + ohm / 10'000.0) * 4.0;
      REQUIRE_THAT(divider_ohm(divider, divider_ratio(divider, reading)),
                   WithinAbs(ohm, tolerance));
    }
  }
}

TEST_CASE("a divider's rails are a short and an open probe") {
  const Divider below{10'000.0, true, 1023.0};
  const Divider above{10'000.0, false, 1023.0};
  for (const double beyond : {0.0, 0.01, 5.0}) {
    CHECK(divider_ohm(below, 0.0 - beyond) == 0.0);
    CHECK(std::isinf(divider_ohm(below, 1.0 + beyond)));
    CHECK(std::isinf(divider_ohm(above, 0.0 - beyond)));
    CHECK(divider_ohm(above, 1.0 + beyond) == 0.0);
  }
}

TEST_CASE("self-heating is power over dissipation") {
  // 10 kohm beside 10 kohm on 5 V: 0.25 mA, 0.625 mW.
  const SelfHeating by_supply{7.5, 5.0, 0.0};
  const Divider divider{10'000.0, true, 1.0};
  CHECK_THAT(self_heating_K(by_supply, divider, 10'000.0), WithinRel(0.625 / 7.5, 1e-12));
  const SelfHeating by_current{7.5, 0.0, 0.25};
  CHECK_THAT(self_heating_K(by_current, {}, 10'000.0), WithinRel(0.625 / 7.5, 1e-12));
  // 1 mA through a Pt100 at 25 degC: 0.11 mW.
  CHECK_THAT(self_heating_K({5.0, 0.0, 1.0}, {}, 109.7347), WithinRel(0.1097347 / 5.0, 1e-12));
}
