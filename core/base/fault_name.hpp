// Names of the kinds of failure, as they stand in the JSON of the control socket.
#pragma once

#include <optional>
#include <string_view>

#include "core/base/result.hpp"

namespace nestcup {

/// The lasting name of a kind: "usage", "bad-data", "no-input", "unavailable", ...
[[nodiscard]] std::string_view fault_name(Fault kind);

/// The kind with this name; absent where there is none.
[[nodiscard]] std::optional<Fault> fault_named(std::string_view name);

}  // namespace nestcup
