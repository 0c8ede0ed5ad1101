// The temperature of steam over boiling water, from the air pressure.
#pragma once

#include <optional>

namespace nestcup {

/// Saturation temperature of water (degC, ITS-90) after IAPWS-IF97, region 4, backward equation:
/// W. Wagner et al., J. Eng. Gas Turbines Power 122 (2000) 150-184, equation 31 and table 34.
/// @param pressure_Pa  611.213 to 22.064e6; nothing outside
[[nodiscard]] std::optional<double> steam_point_degC(double pressure_Pa);

}  // namespace nestcup
