// Reads what a session said, by RFC 9112 and RFC 6455 and not by the daemon's own code.
#pragma once

#include <string_view>

#include "tests/fuzz/http_property.hpp"

namespace nestcup::fuzzing {

/// The statuses of all answers; broken where something is no whole and sound answer.
[[nodiscard]] HttpOutcome look_at_answers(std::string_view said);

}  // namespace nestcup::fuzzing
