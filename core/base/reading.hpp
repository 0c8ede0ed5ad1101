// A reading: one probe's temperature at one instant.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "core/base/clock.hpp"

namespace nestcup {

/// What a probe watches: the cup, the second vessel (what is added), the room, or something that is
/// no part of a run (a bath, a shelf, a window), of which there may be many.
enum class ProbeRole { cup, added, room, other };

[[nodiscard]] constexpr std::string_view role_name(ProbeRole role) {
  switch (role) {
    case ProbeRole::cup:
      return "cup";
    case ProbeRole::added:
      return "added";
    case ProbeRole::room:
      return "room";
    case ProbeRole::other:
      return "other";
  }
  return "cup";
}

[[nodiscard]] constexpr std::optional<ProbeRole> role_from_name(std::string_view name) {
  if (name == "cup") return ProbeRole::cup;
  if (name == "added") return ProbeRole::added;
  if (name == "room") return ProbeRole::room;
  if (name == "other") return ProbeRole::other;
  return std::nullopt;
}

/// One probe's temperature at one instant, unaveraged, with what the device really sent.
struct Reading {
  std::uint16_t probe = 0;        ///< index in the bench's list of probes
  TimeUs time_us = 0;             ///< stamp on the bench's axis, us
  double temperature_degC = 0.0;  ///< degC
  double raw = 0.0;               ///< the quantity that was sent, in `raw_unit` of the probe
};

}  // namespace nestcup
