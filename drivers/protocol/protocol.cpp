#include "drivers/protocol/protocol.hpp"

#include <numeric>

namespace nestcup::drivers {

std::string_view fault_name(LineFault fault) {
  switch (fault) {
    case LineFault::incomplete:
      return "incomplete";
    case LineFault::line_too_long:
      return "line_too_long";
    case LineFault::bad_byte:
      return "bad_byte";
    case LineFault::unexpected_text:
      return "unexpected_text";
    case LineFault::missing_column:
      return "missing_column";
    case LineFault::missing_key:
      return "missing_key";
    case LineFault::repeated_key:
      return "repeated_key";
    case LineFault::bad_number:
      return "bad_number";
    case LineFault::not_finite:
      return "not_finite";
    case LineFault::out_of_range:
      return "out_of_range";
  }
  return "unknown";
}

std::uint64_t FaultCounts::total() const {
  return std::accumulate(counts_.begin(), counts_.end(), std::uint64_t{0});
}

}  // namespace nestcup::drivers
