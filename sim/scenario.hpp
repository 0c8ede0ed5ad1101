// A scripted scenario: the bench at time 0, what happens on it and when, and the board's manners.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "core/base/result.hpp"
#include "core/sheet/transducer_settings.hpp"
#include "sim/board_settings.hpp"

namespace nestcup::sim {

/// Most probes on one board.
inline constexpr std::size_t max_probes = 8;

/// The air around the bench.
struct RoomSettings {
  double temperature_degC = 21.0;  ///< at time 0
  double drift_K_per_h = 0.0;
  double cycle_K = 0.0;            ///< amplitude of a sine (a heating that goes on and off)
  double cycle_s = 1200.0;         ///< its period, > 0
  double relative_humidity = 0.5;  ///< 0 to 1; only an open cup feels it
};

/// A slow body that exchanges heat with the contents: the lid and what the foam takes up.
struct LidSettings {
  double heat_capacity_J_per_K = 10.0;  ///< > 0
  double coupling_W_per_K = 0.05;       ///< to the contents
  double leak_W_per_K = 0.0;            ///< to the room
};

/// The cup and its contents, which are one lump at one temperature.
struct CupSettings {
  double heat_capacity_J_per_K = 430.0;  ///< contents and calorimeter together, > 0
  double temperature_degC = 21.0;
  double leak_W_per_K = 0.13;  ///< h of Newton's law; the leak rate is h over C
  double stirring_W = 0.0;
  /// Surface of the liquid that lies open, the lid being off. Water evaporates from it, and it
  /// gives heat to the air and the walls; leak_W_per_K is what goes through the cup. 0: the lid is
  /// on.
  double open_cm2 = 0.0;
};

/// What the contents do while the stirrer stands still (stirring_W = 0): they lie in layers, and
/// the liquid around each probe wanders slowly about their mean. Without these settings the
/// contents are always well mixed.
struct LayerSettings {
  double wander_K = 0.012;      ///< standard deviation of the wander around a probe in the cup
  double wander_s = 15.0;       ///< its correlation time (Ornstein-Uhlenbeck process), >= 1
  double settle_s = 8.0;        ///< how fast it grows in without, and dies away with the stirrer
  double release_factor = 3.0;  ///< how much slower matter dissolves and reacts meanwhile, >= 1
};

/// The second vessel. What it holds relaxes towards the room.
struct AddedSettings {
  double temperature_degC = 21.0;
  double leak_per_s = 0.0;
};

/// Where a probe is.
enum class Place { cup, added, air };

/// Where a probe with an error of scale shows what it should, degC.
inline constexpr double no_scale_error_degC = 20.0;

/// One probe: a first-order lag, an error of its own, noise and a last digit.
struct ProbeSettings {
  std::string name;
  Place place = Place::cup;
  double lag_s = 4.0;       ///< in liquid; 0 or at least 0.05
  double air_lag_s = 45.0;  ///< in air; 0 or at least 0.05
  /// Share of it that dips into the liquid it stands in, above 0. The rest is in the room's air;
  /// both take part in its lag and its temperature as their surfaces and lags tell.
  double immersed = 1.0;
  double offset_K = 0.0;       ///< shows so much too much
  double scale_error = 0.0;    ///< and so much more for each kelvin above no_scale_error_degC
  double noise_K = 0.008;      ///< standard deviation of white noise
  double step_K = 0.01;        ///< last digit; 0 for none
  std::size_t averaged = 1;    ///< it shows the mean of so many of its newest readings, 1 to 100
  double evaporation_K = 2.0;  ///< how far a freshly wetted probe in air is drawn below the room
  double dry_s = 60.0;         ///< how fast that goes away, > 0

  RawUnit sends = RawUnit::degC;  ///< what its electronics sends
  double step_raw = 0.0;          ///< last digit of that, in its unit, where it is not degC
  TransducerSettings sensor{};    ///< what the probe is, where it does not send a temperature
  std::optional<std::size_t> junction{};  ///< thermocouple: the probe at its cold junction
  RegisterSettings registers;             ///< Modbus: where its value is kept
};

/// A probe is moved to another place.
struct CarryProbe {
  std::size_t probe = 0;
  Place to = Place::air;
};
/// The cup is emptied and filled anew.
struct FreshCup {
  CupSettings cup;
};
/// The second vessel is filled anew.
struct FreshAdded {
  AddedSettings added;
};
/// Where the poured matter takes its temperature from.
enum class Source { added, room, cup, given };
/// How a solid's heat comes over the time that it takes to react away or dissolve, by what is left
/// of its surface: evenly; falling evenly; falling as the square (its number is that of dimensions
/// that shrink); or with a skin that comes off first.
enum class Solid : std::uint8_t { none, sheet, rod, grain, skinned };
/// Something is put into the cup over `pour_s` at an even rate, and heat is set free (or taken up,
/// negative) by what has arrived: first order with `release_s`; a second step follows the first.
/// Where it is a solid, what is left of it sets heat free before that.
struct Mix {
  std::string trial;
  double pour_s = 2.0;         ///< 0: at once
  double added_J_per_K = 0.0;  ///< heat capacity of what is put in
  Source from = Source::room;
  double temperature_degC = 0.0;  ///< for Source::given
  double heat_J = 0.0;
  double release_s = 0.0;  ///< 0: as it arrives
  Solid solid = Solid::none;
  double solid_s = 0.0;  ///< each portion of the solid is gone after this
  double second_heat_J = 0.0;
  double second_release_s = 0.0;
  std::optional<double> leak_after_W_per_K{};  ///< where pouring changes h (fuller cup, lid put on)
};
/// An electric heater in the cup is on for a while.
struct Heat {
  std::string trial;
  double power_W = 0.0;
  double for_s = 0.0;
};
/// The stirrer bar strikes a probe: its readings are off by `offset_K` for a while.
struct Knock {
  std::size_t probe = 0;
  double offset_K = 0.0;
  double for_s = 0.0;
};
/// Moving air: the cup leaks `leak_factor` times as fast, probes in air see `air_offset_K`.
struct Draught {
  double leak_factor = 1.0;
  double air_offset_K = 0.0;
  double for_s = 0.0;
};
/// The stirrer is set to another power.
struct Stir {
  double power_W = 0.0;
};

/// The state of a probe's wires.
enum class Condition : std::uint8_t { whole, open, shorted };
/// A probe's wires break, touch, or are mended.
struct Wires {
  std::size_t probe = 0;
  Condition condition = Condition::whole;
};

/// Something that happens on the bench.
struct Event {
  double at_s = 0.0;
  std::variant<CarryProbe, FreshCup, FreshAdded, Mix, Heat, Knock, Draught, Stir, Wires> what;
};

/// A whole scenario. Events and faults are in time order.
struct Scenario {
  std::string name;
  std::uint64_t seed = 1;
  double duration_s = 600.0;
  double interval_s = 0.5;  ///< between readings
  RoomSettings room;
  CupSettings cup;
  std::optional<LidSettings> lid{};
  std::optional<LayerSettings> layers{};
  AddedSettings added;
  std::vector<ProbeSettings> probes;
  std::vector<Event> events;
  std::vector<LineFault> faults;
  BoardSettings board;
};

/// Reads a scenario file (TOML).
/// @errors no_input: no such file; bad_configuration: everything that is wrong with it, one problem
///         a line, each with file, line and key
[[nodiscard]] Result<Scenario> read_scenario(const std::string& path);

/// The same from text; `path` names it in messages.
[[nodiscard]] Result<Scenario> parse_scenario(const std::string& text, const std::string& path);

}  // namespace nestcup::sim
