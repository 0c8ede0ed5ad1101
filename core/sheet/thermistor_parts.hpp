// The law of a thermistor in a transducer's table, and what its reading shares with other kinds.
// Internal to the room.
#pragma once

#include <initializer_list>
#include <string_view>
#include <variant>

#include "core/sheet/toml_section.hpp"
#include "core/sheet/transducer_settings.hpp"

namespace nestcup {

using ThermistorLaw = std::variant<SteinhartHart, BetaLaw, ThermistorPoints>;

inline constexpr NumberRange any_resistance_ohm{0.0, 1e9, true};

/// The law out of `a`, `b`, `c`, or `beta_K`, `at_ohm`, `at_degC`, or `points`; anything but
/// exactly one of them is a problem, as is a law that a slip in a power of ten makes no
/// thermistor's.
[[nodiscard]] ThermistorLaw read_thermistor_law(TomlSection& section);

[[nodiscard]] bool has_any(const TomlSection& section,
                           std::initializer_list<std::string_view> keys);

/// Asks for absent keys, so that a slip in writing them is answered with what was meant.
void make_known(TomlSection& section, std::initializer_list<std::string_view> keys);

}  // namespace nestcup
