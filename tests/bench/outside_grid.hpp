// Trials in which something lies outside the family of courses that the analysis fits: those of the
// fine grid, on the simulated bench, each with its own disturbance.
#pragma once

#include <array>
#include <optional>
#include <random>
#include <string_view>

#include "sim/scenario.hpp"
#include "tests/bench/trial_grid.hpp"

namespace nestcup::bench {

/// What is outside the family. Figures in ranges are drawn log-uniformly, shares uniformly.
enum class Outside {
  two_step,          ///< a second release behind the first: 20 to 120 s, 10 to 50 % of its heat,
                     ///< either sign
  warming_lid,       ///< a body of 5 to 30 J/K shares with the contents (240 J/K before the pour)
                     ///< over 30 to 300 s
  drifting_room,     ///< 0.5 to 4 K/h either way, or a cycle of 0.3 K over 10 to 30 min
  drifting_vessel,   ///< warm liquid 20 to 40 K above the room, or cold liquid 10 to 18 K below it,
                     ///< drifts back at 1e-4 to 8e-4 per s until it is poured; a probe in each
  mixture,           ///< each of these in every other trial
  one_probe_seen,    ///< the drifting vessel with one probe for both: carried there and back
                     ///< (`probe_way.hpp`), it stands in the cup again when the liquid is poured
  one_probe_unseen,  ///< the same, but the liquid is poured while the probe is on its way back
  late_stamps,  ///< each reading is stamped late, exponentially distributed with a mean of 2 to
                ///< 20 % of the interval
  held_back,    ///< what is due within 1 to 8 s comes in a bunch at its end; it begins between 2 s
                ///< before the mixing and 10 s behind it
  converters,   ///< noise of the coarse grid, read by one of the converters of `converters.hpp`
  alike,        ///< a board that averages, or says each value several times: `firmware.hpp`
  solids,       ///< a sheet of 5 to 40 s, a rod or a grain of 5 to 120 s dissolves, and its heat is
                ///< released within 0.5 to 5 s; the readings go on for its time longer
  skinned       ///< the same with a solid of 20 to 60 s that comes free of a skin first
};

/// Each is a test of its own, listed in tests.cmake.
inline constexpr std::array every_outside{
    Outside::two_step,         Outside::warming_lid, Outside::drifting_room,
    Outside::drifting_vessel,  Outside::mixture,     Outside::one_probe_seen,
    Outside::one_probe_unseen, Outside::late_stamps, Outside::held_back,
    Outside::converters,       Outside::alike,       Outside::solids,
    Outside::skinned};

[[nodiscard]] std::string_view outside_name(Outside outside);

struct OutsideTrial {
  Trial trial;  ///< with the true rise and mixing time
  Curve cup, added;
  Curve by_hand;  ///< what a person takes from the cup, where that is not all; see `read_in_cup`
  std::optional<double> added_degC;  ///< true mean temperature of what was poured
};

[[nodiscard]] OutsideTrial drawn_outside_trial(std::mt19937_64& random, Outside outside);

}  // namespace nestcup::bench
