// The approximate inverses of five thermocouples' reference functions, for comparison alone: the
// program solves the reference functions.
// Source: NIST Monograph 175 (1993), with the errors that it states, to 0.01 K. The coefficients of
// type J below 0 and above 760 degC and of type N above 600 degC, and the stated errors of those
// above 500 degC, are from memory; a coefficient that is not the published one shows as a larger
// error than the stated one. Types B, R and S are left out.
#pragma once

#include <span>

#include "core/sheet/transducer_settings.hpp"

namespace nestcup::bench {

struct InversePolynomial {
  ThermocoupleType type;
  double lowest;  ///< emf in the polynomial's own unit
  double highest;
  double per_uV;                         ///< that unit in uV, inverted: 1 or 1e-3
  double published_K;                    ///< worst error, as stated
  std::span<const double> coefficients;  ///< degC = sum of c[i] emf^i
};

/// Types E, J, K, N and T, by rising emf.
[[nodiscard]] std::span<const InversePolynomial> inverse_polynomials();

[[nodiscard]] double inverse_degC(const InversePolynomial& polynomial, double emf_uV);

}  // namespace nestcup::bench
