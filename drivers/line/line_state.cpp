#include "drivers/line/line_state.hpp"

namespace nestcup::drivers {

std::string_view state_name(LineState state) {
  switch (state) {
    case LineState::closed:
      return "closed";
    case LineState::waiting:
      return "waiting";
    case LineState::settling:
      return "settling";
    case LineState::open:
      return "open";
    case LineState::silent:
      return "silent";
  }
  return "closed";
}

}  // namespace nestcup::drivers
