// Draws from the distributions of the benchmarks' grids.
#pragma once

#include <array>
#include <cmath>
#include <random>

namespace nestcup::bench {

[[nodiscard]] inline double uniform(std::mt19937_64& random, double low, double high) {
  return std::uniform_real_distribution<double>(low, high)(random);
}

[[nodiscard]] inline double log_uniform(std::mt19937_64& random, double low, double high) {
  return std::exp(uniform(random, std::log(low), std::log(high)));
}

template <std::size_t N>
[[nodiscard]] double one_of(std::mt19937_64& random, const std::array<double, N>& values) {
  return values[std::uniform_int_distribution<std::size_t>(0, N - 1)(random)];
}

/// One or the other, equally often.
[[nodiscard]] inline bool by_halves(std::mt19937_64& random) {
  return uniform(random, 0.0, 1.0) < 0.5;
}

[[nodiscard]] inline double sign(std::mt19937_64& random) {
  return by_halves(random) ? -1.0 : 1.0;
}

}  // namespace nestcup::bench
