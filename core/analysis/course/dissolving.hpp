// How a probe in a leaking cup answers a solid that dissolves or reacts away.
#pragma once

#include <array>

#include "core/analysis/course/pour_response.hpp"

namespace nestcup {

/// How the supply of heat goes over the time T that a solid takes, x = t/T from 0 to 1. It goes
/// with the surface that is left, and so in as many dimensions as shrink (for grains: A. W. Hixson,
/// J. H. Crowell, Industrial & Engineering Chemistry 23 (1931) 923, the cube root law).
enum class SolidShape {
  sheet,   ///< is even: a thin ribbon
  rod,     ///< falls evenly, 2 (1 - x): a wire
  grain,   ///< falls as 3 (1 - x)^2: grains that stay alike
  skinned  ///< grows and fades, 6 x (1 - x): what loses a skin first, or speeds itself up
};

/// Answer of the chain of delays of PourResponse to such a supply of the length `pour_s`. With the
/// residues rho of its transform's poles a, b and k the share at time u is
///   sum of rho Q,    Q = integral from 0 to min(u, T) of q(t) exp(-pole (u - t)) dt
/// where the supply q is a polynomial until it ends.
class DissolvingResponse {
 public:
  DissolvingResponse(const ResponseTimes& times, SolidShape shape);

  [[nodiscard]] Share at(double since_s) const;
  [[nodiscard]] double value_at(double since_s) const;
  /// See PourResponse.
  [[nodiscard]] double settled(double since_s) const;

 private:
  /// Q, with its change by the pole's logarithm.
  struct Supplied {
    double value = 0.0, by_log_rate = 0.0;
  };
  struct Pole {
    double rate_per_s, residue;
    std::array<double, 3> by_log;  ///< the residue's logarithm by those of a, b and k
    Supplied whole;                ///< when the supply ends
  };
  /// While the supply lasts.
  [[nodiscard]] Supplied supplied(double rate_per_s, double since_s) const;
  [[nodiscard]] Supplied seen(const Pole& pole, double since_s) const;

  double length_s_;
  std::array<double, 3> supply_;  ///< times the length, by powers of the part that is over
  std::array<Pole, 3> poles_;     ///< release, lag, leak
};

}  // namespace nestcup
