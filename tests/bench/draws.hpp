// Draws from the distributions that the benchmarks state.
#pragma once

#include <array>
#include <cmath>

#include "sim/random.hpp"

namespace nestcup::bench {

inline double between_evenly(sim::Random& random, double low, double high) {
  return low + (high - low) * random.uniform();
}

inline double log_uniform(sim::Random& random, double low, double high) {
  return low * std::pow(high / low, random.uniform());
}

inline double either_sign(sim::Random& random, double value) {
  return random.uniform() < 0.5 ? -value : value;
}

template <std::size_t N>
double one_of(sim::Random& random, const std::array<double, N>& values) {
  return values[random.below(N)];
}

inline constexpr std::array intervals_s{0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0};
inline constexpr std::array steps_K{0.001, 0.01, 0.03125, 0.0625, 0.1};

}  // namespace nestcup::bench
