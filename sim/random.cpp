#include "sim/random.hpp"

#include <cmath>
#include <numbers>

namespace nestcup::sim {

namespace {

/// Spreads neighbouring seeds over all 64 bits (the finaliser of splitmix64; Steele, Lea, Flood,
/// OOPSLA 2014), so that seed 1 stream 2 and seed 2 stream 1 have nothing in common.
std::uint64_t spread(std::uint64_t bits) {
  bits += 0x9e3779b97f4a7c15U;
  bits = (bits ^ (bits >> 30U)) * 0xbf58476d1ce4e5b9U;
  bits = (bits ^ (bits >> 27U)) * 0x94d049bb133111ebU;
  return bits ^ (bits >> 31U);
}

}  // namespace

Random::Random(std::uint64_t seed, std::uint64_t stream) : engine_(spread(spread(seed) + stream)) {}

double Random::uniform() {
  return (static_cast<double>(engine_() >> 11U) + 0.5) * 0x1p-53;
}

double Random::gaussian() {
  if (spare_) {
    const double value = *spare_;
    spare_.reset();
    return value;
  }
  const double radius = std::sqrt(-2.0 * std::log(uniform()));
  const double angle = 2.0 * std::numbers::pi * uniform();
  spare_ = radius * std::sin(angle);
  return radius * std::cos(angle);
}

std::uint64_t Random::below(std::uint64_t bound) {
  return static_cast<std::uint64_t>(uniform() * static_cast<double>(bound));
}

}  // namespace nestcup::sim
