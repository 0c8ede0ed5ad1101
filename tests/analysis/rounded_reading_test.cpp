// The likelihood of rounded readings.
#include "core/analysis/readings/rounded_reading.hpp"

#include <cmath>

#include "tests/catch.hpp"

using namespace nestcup;

TEST_CASE("the probability of a rounding interval is that of the normal distribution") {
  // Phi(0.5) = 0.69146 24613, Phi(1.5) = 0.93319 27987: Abramowitz and Stegun, Handbook of
  // Mathematical Functions (1964), table 26.1.
  const Noise noise{0.01, 0.01};
  CHECK_THAT(std::exp(rounded_likelihood(20.0, 20.0, noise).log_p),
             WithinAbs(2.0 * 0.6914624613 - 1.0, 1e-9));
  CHECK_THAT(std::exp(rounded_likelihood(20.01, 20.0, noise).log_p),
             WithinAbs(0.9331927987 - 0.6914624613, 1e-9));
}

TEST_CASE("the logarithm alone is the same at any distance, and so is the sum of many") {
  const Noise noise{GENERATE(0.001, 0.004, 0.02), 0.02};
  LogProduct product;
  double sum = 0.0;
  for (double expected = 19.88; expected < 20.12; expected += 0.0007) {
    INFO(noise.sd_K << " " << expected);
    const double log_p = rounded_likelihood(20.0, expected, noise).log_p;
    CHECK_THAT(rounded_log_p(20.0, expected, noise), WithinAbs(log_p, 2e-6));
    product.add(20.0, expected, noise);
    sum += log_p;
    CHECK_THAT(product.value(), WithinAbs(sum, 1e-4));
  }
}

TEST_CASE("a reading far off is unlikely but never impossible") {
  const Noise noise{0.001, 0.01};
  const auto near = rounded_likelihood(20.0, 20.034, noise);  // 29 sd beyond its interval
  const auto far = rounded_likelihood(20.0, 20.036, noise);   // 31, past the change of the formula
  CHECK(std::isfinite(near.log_p));
  CHECK(far.log_p < near.log_p);
  CHECK_THAT(near.log_p - far.log_p, WithinAbs(0.5 * (31.0 * 31.0 - 29.0 * 29.0), 0.2));
  CHECK_THAT(near.score_per_K / -29.0, WithinRel(1000.0, 0.01));
  CHECK(std::isfinite(rounded_likelihood(20.0, 45.0, noise).log_p));
}

TEST_CASE("score and curvature are derivatives of the logarithm") {
  const Noise noise{GENERATE(0.002, 0.01, 0.05), 0.02};
  for (const double expected : {20.0, 20.004, 20.0099, 20.013, 19.98}) {
    INFO(noise.sd_K << " " << expected);
    constexpr double by = 1e-6;
    const auto up = rounded_likelihood(20.0, expected + by, noise);
    const auto down = rounded_likelihood(20.0, expected - by, noise);
    const auto here = rounded_likelihood(20.0, expected, noise);
    CHECK_THAT(here.score_per_K, WithinAbs((up.log_p - down.log_p) / (2.0 * by), 0.01));
    CHECK_THAT(here.curvature_per_K2,
               WithinAbs((down.score_per_K - up.score_per_K) / (2.0 * by), 0.5));
    const auto louder = rounded_likelihood(20.0, expected, {noise.sd_K * std::exp(1e-5), 0.02});
    const auto quieter = rounded_likelihood(20.0, expected, {noise.sd_K * std::exp(-1e-5), 0.02});
    CHECK_THAT(here.by_log_sd, WithinAbs((louder.log_p - quieter.log_p) / 2e-5, 1e-4));
  }
}

TEST_CASE("a fine step takes nothing of the information, a coarse one nearly all") {
  // Sheppard's correction (W. F. Sheppard, Proceedings of the London Mathematical Society 29 (1898)
  // 353): rounding adds the variance of one step, step^2 / 12.
  const double sd_K = 0.01;
  for (const double part : {0.1, 0.5, 1.0, 2.0}) {
    const Noise noise{sd_K, part * sd_K};
    INFO(part);
    CHECK_THAT(rounded_information(20.0, 20.0033, noise) * sd_K * sd_K,
               WithinAbs(1.0 / (1.0 + part * part / 12.0), part > 1.0 ? 5e-3 : 1e-4));
  }
  const Noise coarse{0.01, 0.1};
  CHECK(rounded_information(20.0, 20.0, coarse) < 1.0);  // of 10 000 per K^2: no digit changes
  // On the border between two digits a reading is a coin toss: 2 / (pi sd^2).
  CHECK_THAT(rounded_information(20.0, 20.05, coarse), WithinRel(2.0 / 3.14159265 * 1e4, 1e-6));
}
