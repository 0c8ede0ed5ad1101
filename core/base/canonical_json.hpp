// JSON as canonical text: one value has one text, so that a digest of it means something
// (RFC 8785, the JSON Canonicalization Scheme).
#pragma once

#include <concepts>
#include <nlohmann/json_fwd.hpp>
#include <string>
#include <string_view>

#include "core/base/result.hpp"

namespace nestcup {

/// The canonical text of a JSON text: no blanks, keys in the order of their UTF-16 code units at
/// every level, the shortest escapes, numbers as ECMAScript writes them (RFC 8785, section 3.2).
/// It is its own canonical text.
/// @return an Error (bad_data) for what is not JSON in UTF-8, for a key that an object has twice,
///         half a surrogate pair, a number that no double holds, and an integer beyond 2^53 whose
///         digits a double would change: those are expected as strings (RFC 7493, section 2.2)
[[nodiscard]] Result<std::string> canonical_json(std::string_view json_text);

/// The same for a value that is parsed already (where a key that was there twice shows no more);
/// NaN, infinities, binary values and strings that are not UTF-8 are Errors (bad_data).
[[nodiscard]] Result<std::string> canonical_value(const nlohmann::ordered_json& value);

/// `canonical_value` by the name of its sister; of that type alone, for a std::string would turn
/// into a value as readily as into a view.
template <std::same_as<nlohmann::ordered_json> Value>
[[nodiscard]] Result<std::string> canonical_json(const Value& value) {
  return canonical_value(value);
}

/// A finite number as ECMAScript writes it: the fewest digits that read back as the same double,
/// in the notation of Number::toString of ECMA-262 ("0.000001", "1e-7", "1e+21", and "0" for -0).
[[nodiscard]] std::string ecmascript_number(double finite);

}  // namespace nestcup
