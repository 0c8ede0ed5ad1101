// A forecast for people and for scripts.
#pragma once

#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "tools/forecast/forecast.hpp"
#include "tools/forecast/request.hpp"

namespace nestcup::forecast {

/// Numbered tables, what to look out for, cautions, and what was taken for granted. At most 90
/// columns, so that it prints on A4.
[[nodiscard]] std::string forecast_page(const Forecast& forecast, const Request& request,
                                        bool colour);

/// The same for scripts; what is not known is null.
[[nodiscard]] nlohmann::ordered_json forecast_json(const Forecast& forecast,
                                                   const Request& request);

/// What was taken for granted, a sentence each.
[[nodiscard]] std::vector<std::string> assumed(const Forecast& forecast, const Request& request);

/// What can hurt in the sheet's trials, a sentence each.
[[nodiscard]] std::vector<std::string> cautions_of(const Forecast& forecast);

/// "J/K", "kJ/mol", "J/(g K)" or "J/g".
[[nodiscard]] std::string unit_of(Purpose purpose);

}  // namespace nestcup::forecast
