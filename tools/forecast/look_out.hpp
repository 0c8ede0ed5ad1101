// What a teacher should look out for before the lab.
#pragma once

#include <optional>

#include "tools/forecast/forecast.hpp"

namespace nestcup::forecast {

/// Adds to the forecast's notes: boiling and freezing, rises too small to be noticed or to be of
/// use, more than the cup holds, reactants that run out against the plan or at nearly the same
/// extent, gas, temperatures that nothing measures, other accepted values, runs that cannot be
/// analysed.
/// @param only  the one trial asked for
void look_out(Forecast& forecast, std::optional<std::size_t> only);

}  // namespace nestcup::forecast
