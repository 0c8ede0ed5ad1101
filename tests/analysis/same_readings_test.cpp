// How probable equal readings in a row are.
#include "core/analysis/readings/same_readings.hpp"

#include <cmath>
#include <random>

#include "tests/catch.hpp"

using namespace nestcup;

namespace {

/// Share of readings that equal the one before, by trying, for a value in the middle of a step.
double tried(double noise_K, double step_K) {
  std::mt19937_64 random(11);
  std::normal_distribution<double> noise(0.0, noise_K);
  const auto shown = [&] { return std::round(noise(random) / step_K); };
  constexpr int tries = 200'000;
  int same = 0;
  double last = shown();
  for (int i = 0; i < tries; ++i) {
    const double next = shown();
    same += next == last ? 1 : 0;
    last = next;
  }
  return static_cast<double>(same) / tries;
}

}  // namespace

TEST_CASE("the probability of equal readings is that of rounded Gaussian noise") {
  for (const double ratio : {0.2, 0.5, 1.0, 3.0}) {
    INFO("noise over step " << ratio);
    // Standard deviation of the share: below 0.0012.
    CHECK_THAT(same_probability(0.01 * ratio, 0.01), WithinAbs(tried(0.01 * ratio, 0.01), 0.006));
  }
  CHECK(same_probability(0.0, 0.1) == 1.0);
  CHECK(same_probability(0.01, 0.0) == 0.0);
}

TEST_CASE("a display that hides its noise never counts as frozen, a fine one soon does") {
  CHECK_FALSE(is_frozen(100'000, same_probability(0.0, 0.1)));
  CHECK_FALSE(is_frozen(1000, same_probability(0.01, 0.1)));
  CHECK(is_frozen(40, same_probability(0.008, 0.01)));
  CHECK_FALSE(is_frozen(9, same_probability(0.008, 0.01)));
  CHECK(is_frozen(10, 0.0));
  CHECK_FALSE(is_frozen(5, 0.0));
}
