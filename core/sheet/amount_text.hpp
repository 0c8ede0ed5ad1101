// Where a number stands in a sheet's text, and how it is put there. Internal to the room.
#pragma once

#include <toml++/toml.h>

#include <string>
#include <string_view>

#include "core/base/result.hpp"

namespace nestcup {

/// The byte that a position of the parser stands for: it counts lines and code points.
/// @param place  of this text; past its end: the end
[[nodiscard]] std::size_t byte_at(std::string_view text, toml::source_position place);

/// The text with the number in the place of the key's value.
/// @param table  of this text, has the key
[[nodiscard]] std::string with_value(std::string text, const toml::table& table,
                                     std::string_view key, double value);

/// The text with the key and its number: behind the key that it belongs to ("mass_g" for
/// "u_mass_g"), else behind the table's last.
/// @param table  of this text, lacks the key and is not empty
[[nodiscard]] std::string with_key(std::string text, const toml::table& table, std::string_view key,
                                   double value);

/// The text without the key and its value.
/// @param table  of this text, has the key
[[nodiscard]] std::string without_key(std::string text, const toml::table& table,
                                      std::string_view key);

}  // namespace nestcup
