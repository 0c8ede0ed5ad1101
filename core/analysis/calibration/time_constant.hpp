// A probe's time constant from a plunge: moved at once from one temperature to another.
#pragma once

#include <optional>

#include "core/analysis/readings/point.hpp"
#include "core/base/uncertain.hpp"

namespace nestcup {

struct PlungeFit {
  Uncertain time_constant_s;
  double step_K = 0.0;  ///< from the first reading used to where it tends
  double final_degC = 0.0;
  double sd_K = 0.0;      ///< scatter about the exponential
  std::size_t count = 0;  ///< readings used
};

/// Fits T(t) = final + (start - final) exp(-t/tau) by least squares to the readings from a tenth of
/// the way on (before it the probe is still on its way through the air, or the liquid still closes
/// about it). Readings of the steady stretch before the plunge are allowed and left out.
/// @param curve  from before the plunge until the probe is steady again
/// @return nothing where the readings move by less than 2 K, or fewer than 5 of them show the
///         approach
[[nodiscard]] std::optional<PlungeFit> fit_plunge(CurveView curve);

}  // namespace nestcup
