// Random numbers that are the same on every machine for the same seed.
#pragma once

#include <cstdint>
#include <optional>
#include <random>

namespace nestcup::sim {

/// One stream of random numbers. The engine is the standard's 64-bit Mersenne twister, whose output
/// is fixed by the standard; the distributions are our own because the standard's are not.
class Random {
 public:
  /// @param seed    the run's seed
  /// @param stream  which of the run's independent streams (one for each probe, one for faults)
  Random(std::uint64_t seed, std::uint64_t stream);

  /// Uniform in the open interval (0, 1): the middles of 2^53 equal cells.
  [[nodiscard]] double uniform();
  /// Standard normal, by the transform of Box and Muller (Ann. Math. Statist. 29, 1958, 610).
  [[nodiscard]] double gaussian();
  /// Uniform whole number below `bound` (> 0); the bias is below bound / 2^53.
  [[nodiscard]] std::uint64_t below(std::uint64_t bound);

 private:
  std::mt19937_64 engine_;
  std::optional<double> spare_;
};

}  // namespace nestcup::sim
