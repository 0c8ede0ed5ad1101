#include "drivers/protocol/line_fault.hpp"

#include <numeric>

namespace nestcup::drivers {

std::string_view fault_name(LineFault fault) {
  constexpr std::array<std::string_view, line_fault_kinds> names{
      "incomplete",   "line_too_long", "bad_byte",      "unexpected_text", "missing_column",
      "missing_key",  "repeated_key",  "bad_number",    "not_finite",      "out_of_range",
      "bad_pack",     "wrong_unit",    "bad_checksum",  "wrong_device",    "wrong_function",
      "wrong_length", "foreign_bytes", "refused",       "no_probe",        "no_reading",
      "overload",     "open_circuit",  "short_circuit", "no_cold_junction"};
  return names.at(static_cast<std::size_t>(fault));
}

std::uint64_t FaultCounts::total() const {
  return std::accumulate(counts_.begin(), counts_.end(), std::uint64_t{0});
}

}  // namespace nestcup::drivers
