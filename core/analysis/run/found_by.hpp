// What told where a mixing began.
#pragma once

#include <cstdint>
#include <string_view>

namespace nestcup {

enum class FoundBy : std::uint8_t {
  detector,
  mark,         ///< a person, by a command
  line_signal,  ///< a push-button or foot switch on a modem line of the port
};

[[nodiscard]] constexpr std::string_view found_by_name(FoundBy found_by) {
  switch (found_by) {
    case FoundBy::detector:
      return "detector";
    case FoundBy::mark:
      return "mark";
    case FoundBy::line_signal:
      return "line signal";
  }
  return "detector";
}

}  // namespace nestcup
