// Exit codes of all programs, after sysexits.h.
#pragma once

#include "core/base/result.hpp"

namespace nestcup {

inline constexpr int exit_done = 0;

/// The exit code for a kind of failure (values of BSD's sysexits.h).
[[nodiscard]] constexpr int exit_code(Fault kind) {
  switch (kind) {
    case Fault::usage:
      return 64;
    case Fault::bad_data:
      return 65;
    case Fault::no_input:
      return 66;
    case Fault::unavailable:
      return 69;
    case Fault::cannot_create:
      return 73;
    case Fault::io:
      return 74;
    case Fault::try_later:
      return 75;
    case Fault::not_permitted:
      return 77;
    case Fault::bad_configuration:
      return 78;
  }
  return 70;
}

}  // namespace nestcup
