// The transducer of a [[probe]]: transducer = { kind = "thermistor", ... }. Internal to the room.
#pragma once

#include "core/sheet/toml_section.hpp"
#include "core/sheet/transducer_settings.hpp"

namespace nestcup {

struct TransducerPart {
  TransducerSettings settings{};
  bool has_cold_channel = false;  ///< there is a table `cold`: another channel is the cold junction
};

/// The probe's `transducer`, whose kind decides which other keys there are:
/// thermistor: `a`, `b`, `c`, or `beta_K`, `at_ohm`, `at_degC` (25 where missing), or `points`, a
///   list of three [ohm, degC];
/// thermocouple: `type`, and either `cold_degC` or the table `cold`, which is not looked into;
/// platinum: `r0_ohm` (100), `wires` (4), `lead_ohm` (0; of one lead);
/// thermistor and platinum in a divider: `series_ohm`, `probe` ("below" or "above"), `full_scale`
///   in the unit sent (1 for a ratio); and, where the current's heat is to be taken off,
///   `dissipation_mW_per_K` with `supply_V` (divider) or `current_mA`.
/// Notes a problem where the unit needs a transducer and there is none, or does not fit its kind.
/// That a thermistor's law holds over its whole range is seen when its Transducer is made; a slip
/// in a power of ten is seen here.
/// @param unit  what the device sends, from the probe's key `unit`
[[nodiscard]] TransducerPart read_transducer(TomlSection& probe_section, RawUnit unit);

}  // namespace nestcup
