// Whether a run's rise stands out from its uncertainty.
#include "core/analysis/run/run_analysis.hpp"
#include "tests/analysis/newton_cup.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

RunInput mixed_at_90_s(double rise_K, double noise_K, double step_K, std::uint64_t seed) {
  NewtonCup cup;
  cup.releases = {{rise_K, 3.0}};
  cup.lag_s = 3.0;
  RunInput input;
  input.cup = with_noise(newton_curve(cup), noise_K, step_K, seed);
  input.onset_hint_s = 94.0;
  return input;
}

}  // namespace

TEST_CASE("the smallest rise that is looked for shows, and no rise does not") {
  for (std::uint64_t seed = 1; seed <= 10; ++seed) {
    INFO(seed);
    CHECK(rise_shows(mixed_at_90_s(0.15, 0.015, 0.01, seed)));
    CHECK(rise_shows(mixed_at_90_s(-0.4, 0.05, 0.01, seed)));
    CHECK_FALSE(rise_shows(mixed_at_90_s(0.0, 0.015, 0.01, seed)));
  }
}

TEST_CASE("a rise clearly below the smallest that is looked for does not, however clear it is") {
  for (std::uint64_t seed = 1; seed <= 10; ++seed) {
    INFO(seed);
    CHECK_FALSE(rise_shows(mixed_at_90_s(0.1, 0.005, 0.001, seed)));
    CHECK_FALSE(rise_shows(mixed_at_90_s(-0.2, 0.05, 0.01, seed)));
    CHECK(rise_shows(mixed_at_90_s(0.2, 0.005, 0.001, seed)));
  }
}

TEST_CASE("a display that hides its noise does not hide a clear rise") {
  for (std::uint64_t seed = 1; seed <= 5; ++seed) {
    INFO(seed);
    CHECK(rise_shows(mixed_at_90_s(1.0, 0.01, 0.1, seed)));
  }
}

TEST_CASE("what no course describes must stand out further") {
  // A probe that stood in air in between: no mixing goes there and back.
  RunInput input = mixed_at_90_s(0.0, 0.01, 0.01, 1);
  for (Point& point : input.cup) {
    if (point.time_s > 94.0 && point.time_s < 180.0) point.temperature_degC += 2.0;
  }
  CHECK_FALSE(rise_shows(input));
}

TEST_CASE("of too few readings nothing can be told") {
  RunInput input;
  input.cup = {{0.0, 21.0}, {1.0, 21.0}, {2.0, 25.0}};
  input.onset_hint_s = 2.0;
  CHECK(rise_shows(input));
}
