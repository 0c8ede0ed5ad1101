// Water and its steam in equilibrium: from the air pressure to the temperature, and back.
#pragma once

#include <optional>

namespace nestcup {

/// Saturation temperature of water (degC, ITS-90) after IAPWS-IF97, region 4, backward equation:
/// W. Wagner et al., J. Eng. Gas Turbines Power 122 (2000) 150-184, equation 31 and table 34.
/// @param pressure_Pa  611.213 to 22.064e6; nothing outside
[[nodiscard]] std::optional<double> steam_point_degC(double pressure_Pa);

/// Pressure of saturated steam and its slope along the saturation line.
struct Saturation {
  double pressure_Pa = 0.0;
  double slope_Pa_per_K = 0.0;
};

/// The same equation solved for the pressure (equation 30), and its exact derivative.
/// @param degC  0 to 373.946 (ITS-90); nothing outside
[[nodiscard]] std::optional<Saturation> saturation(double degC);

}  // namespace nestcup
