// Quantities with their uncertainty as records carry them.
#pragma once

#include <nlohmann/json.hpp>

#include "core/base/uncertain.hpp"

namespace nestcup {

/// {"value", "u"} and, where it is known, "dof".
[[nodiscard]] nlohmann::ordered_json quantity_json(const Uncertain& quantity);

/// The same back. Throws nlohmann::json::exception where a key is missing or of another kind.
[[nodiscard]] Uncertain quantity_of(const nlohmann::ordered_json& json);

}  // namespace nestcup
