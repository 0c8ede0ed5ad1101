#include "core/report/drawing/ticks.hpp"

#include <cmath>

#include "tests/catch.hpp"

using namespace nestcup;

TEST_CASE("ticks stand at round numbers within the range") {
  const Ticks ticks = round_ticks(0.0, 264.6, 9);
  CHECK(ticks.values == std::vector<double>{0.0, 50.0, 100.0, 150.0, 200.0, 250.0});
  CHECK(ticks.decimals == 0);
}

TEST_CASE("tenths are the doubles nearest to their decimals") {
  const Ticks ticks = round_ticks(21.95, 22.75, 9);
  CHECK(ticks.values == std::vector<double>{22.0, 22.1, 22.2, 22.3, 22.4, 22.5, 22.6, 22.7});
  CHECK(ticks.decimals == 1);
}

TEST_CASE("ends of the range are ticks even a rounding error off") {
  const Ticks ticks = round_ticks(0.1 + 0.2, 0.7, 5);
  REQUIRE(ticks.values.size() == 5);
  CHECK(ticks.values.front() == 0.3);
  CHECK(ticks.values.back() == 0.7);
}

TEST_CASE("for many ranges: few enough, not fewer than needed, a step of 1, 2 or 5") {
  for (int i = 0; i < 4000; ++i) {
    const double low = -40.0 + 0.37 * (i % 311);
    const double high = low + 0.02 * std::pow(1.003, i);
    const Ticks ticks = round_ticks(low, high, 8);
    CAPTURE(low, high, ticks.step);
    REQUIRE(ticks.values.size() <= 8);
    // The next smaller step gives at least 9, and no two neighbouring steps differ by more than
    // 2.5: three ticks always remain.
    REQUIRE(ticks.values.size() >= 3);
    const double lead = ticks.step / std::pow(10.0, std::floor(std::log10(ticks.step) + 1e-9));
    const bool is_round =
        std::abs(lead - 1.0) < 1e-9 || std::abs(lead - 2.0) < 1e-9 || std::abs(lead - 5.0) < 1e-9;
    REQUIRE(is_round);
  }
}

TEST_CASE("tick labels show the decimals asked for and a true minus sign") {
  CHECK(tick_text(22.5, 1) == "22.5");
  CHECK(tick_text(-5.0, 0) ==
        "\xE2\x88\x92"
        "5");
  CHECK(tick_text(-0.0, 1) == "0.0");
  CHECK(tick_text(100.0, 0) == "100");
}
