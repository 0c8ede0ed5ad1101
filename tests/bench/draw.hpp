// Draws from the distributions that the benchmarks state, by either source of random numbers.
#pragma once

#include <array>
#include <cmath>
#include <random>

#include "sim/random.hpp"

namespace nestcup::bench {

/// What the benchmark of the detector draws from.
inline constexpr std::array intervals_s{0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0};
inline constexpr std::array steps_K{0.001, 0.01, 0.03125, 0.0625, 0.1};

inline double unit(std::mt19937_64& source) {
  return std::uniform_real_distribution<double>(0.0, 1.0)(source);
}
inline double unit(sim::Random& source) {
  return source.uniform();
}

inline std::size_t below(std::mt19937_64& source, std::size_t count) {
  return std::uniform_int_distribution<std::size_t>(0, count - 1)(source);
}
inline std::size_t below(sim::Random& source, std::size_t count) {
  return source.below(count);
}

template <class Source>
double uniform(Source& source, double low, double high) {
  return low + (high - low) * unit(source);
}

template <class Source>
double log_uniform(Source& source, double low, double high) {
  return std::exp(uniform(source, std::log(low), std::log(high)));
}

template <class Source, class Value, std::size_t N>
Value one_of(Source& source, const std::array<Value, N>& values) {
  return values[below(source, N)];
}

/// One or the other, equally often.
template <class Source>
bool by_halves(Source& source) {
  return unit(source) < 0.5;
}

template <class Source>
double sign(Source& source) {
  return by_halves(source) ? -1.0 : 1.0;
}

}  // namespace nestcup::bench
