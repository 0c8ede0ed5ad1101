// The way of one probe that serves both vessels, drawn at random: cup, air, second vessel, air,
// cup.
#pragma once

#include <random>

#include "core/analysis/readings/point.hpp"
#include "sim/scenario.hpp"
#include "tests/bench/trial_grid.hpp"

namespace nestcup::bench {

/// When the probe is moved, s from the beginning of the trial.
struct ProbeWay {
  double leaves_cup_s = 0.0, enters_vessel_s = 0.0, leaves_vessel_s = 0.0, enters_cup_s = 0.0;
};

/// Draws a way whose foreperiod is the trial's, and moves the trial's pour to where it belongs: 30
/// to 60 s behind the probe's coming back into the cup where it sees the pour, else evenly between
/// its leaving the vessel and its coming back. Log-uniform: 3 to 15 s in air on the way there
/// (lifted and rinsed), 40 to 120 s in the second vessel. Uniform: 3 to 10 s in air on the way
/// back.
[[nodiscard]] ProbeWay drawn_way(std::mt19937_64& random, Trial& trial, bool pour_seen);

/// Lets the first probe of a scenario go that way. In air it is drawn 0.5 to 3 K below the room
/// until it is dry (30 to 120 s, log-uniform), and lags by 20 to 70 s (log-uniform).
void carry_probe(sim::Scenario& scenario, const ProbeWay& way, std::mt19937_64& random);

/// What a person takes from the cup: the readings that the probe made there, but for the first 15 s
/// of each stay, in which it is seen to move.
[[nodiscard]] Curve read_in_cup(CurveView readings, const ProbeWay& way);

}  // namespace nestcup::bench
