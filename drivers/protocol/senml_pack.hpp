// SenML packs in JSON (RFC 8428): records with their base fields resolved.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "drivers/protocol/line_fault.hpp"

namespace nestcup::drivers {

/// A record that holds a number (or none, where it has a text, a flag or data instead).
struct SenmlRecord {
  std::string name;             ///< base name and name put together
  std::size_t base_length = 0;  ///< how much of it is the base name
  std::string unit;             ///< its own or the base unit; empty where neither is there
  std::optional<double> value;  ///< base value and value added; finite
  double time_s = 0.0;          ///< base time and time added; below 2^28 relative to now
  [[nodiscard]] bool is_relative() const { return time_s < 268435456.0; }
};

/// The records of a pack in their order, or what is wrong with it: bad_pack (no JSON array of
/// records, a field of the wrong kind, a name that RFC 8428 section 4.5.1 does not allow, a version
/// above 10, a field with _ at its end, which must be understood and is not), not_finite.
[[nodiscard]] std::variant<std::vector<SenmlRecord>, LineFault> read_senml_pack(
    std::string_view text);

}  // namespace nestcup::drivers
