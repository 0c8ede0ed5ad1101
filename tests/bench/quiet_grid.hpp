// Hours in which nobody pours, drawn at random: what else happens at a bench, through the
// simulator.
//
// A probe that stands in other water, or hangs in air, for as long as an after period shows a
// foreperiod, an approach and a steady drift behind it. Whether such a run could have been told
// from a mixing is reckoned with its readings (nearest_mixing.hpp).
#pragma once

#include <string_view>
#include <vector>

#include "core/analysis/readings/point.hpp"
#include "sim/random.hpp"
#include "sim/scenario.hpp"

namespace nestcup::bench {

/// What a quiet hour holds besides the drift of its cup.
enum class Disturbance {
  drift,    ///< nothing: the cup comes to rest, the room goes up and down
  knock,    ///< the stirrer bar strikes the probe, once, in a burst, or with a fading offset
  lift,     ///< the probe hangs wet in air
  visit,    ///< the probe stands in the other vessel for 10 s to 8 min, and comes back
  draught,  ///< the cup leaks faster, and probes in air see other air
  bath,     ///< the contents come 10 to 40 K nearer to something, evenly or ever slower
  heater,   ///< electrical heating that no trial declares
  gap,      ///< no readings for 10 s to 10 min
  replug,   ///< no readings while a cable is put back and a board starts
  lid,      ///< the lid is off for a while
  stir,     ///< the stirrer stands still, or runs at another speed
  count
};

[[nodiscard]] std::string_view disturbance_name(Disturbance kind);

struct Disturbed {
  Disturbance kind = Disturbance::drift;
  double from_s = 0.0, until_s = 0.0;
};

struct QuietHour {
  sim::Scenario scenario;
  std::vector<Disturbed> events;  ///< in order, not overlapping

  /// The event that was the last to begin before `time_s`.
  [[nodiscard]] Disturbed event_before(double time_s) const;
};

/// Where a probe goes that is not in the cup.
enum class Away {
  put_back,   ///< it hangs in air for 5 s to 2 min, and never stands in another vessel
  long_stays  ///< it hangs in air for up to 10 min, and visits other vessels
};

/// One hour. One of: interval 0.1, 0.2, 0.5, 1, 2, 5, 10, 20 s; step 1, 10, 31.25, 62.5, 100 mK.
/// Log-uniform: noise 5 to 50 mK, leak 1e-4 to 8e-4 per s (open or in a draught up to 2e-3), probe
/// lag 1 to 10 s. Cup within 2 or within 30 K of the room, whose cycle has an amplitude up to 1 K
/// and a period of 5 to 40 min. Disturbances of all kinds alike, 20 to 400 s apart.
[[nodiscard]] QuietHour drawn_quiet_hour(sim::Random& random, Away away);

/// The cup's readings, without those that fall into gaps.
[[nodiscard]] Curve readings_of(const QuietHour& hour, std::uint64_t seed);

}  // namespace nestcup::bench
