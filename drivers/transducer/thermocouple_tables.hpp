// The reference functions of the eight letter-designated thermocouples, as polynomials by pieces.
#pragma once

#include <span>

#include "core/sheet/transducer_settings.hpp"

namespace nestcup::drivers {

/// emf in uV, reference junction at 0 degC: sum of coefficients[i] t^i, t in degC; where `bell`
/// says so, 118.5976 exp(-1.183432e-4 (t - 126.9686)^2) more (type K above 0 degC).
struct EmfPiece {
  double lowest_degC;
  double highest_degC;
  std::span<const double> coefficients;
  bool bell = false;
};

/// The pieces of a type, each beginning where the one before ends. At a joint they differ by less
/// than 1e-6 K, but for type J at 760 degC (1.2e-6 K).
/// Source: NIST Monograph 175 (1993), IEC 60584-1.
[[nodiscard]] std::span<const EmfPiece> emf_pieces(ThermocoupleType type);

}  // namespace nestcup::drivers
