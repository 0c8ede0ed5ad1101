// The cup's physics: one lump of liquid that leaks heat, is stirred, poured into and reacts.
#pragma once

#include <array>
#include <optional>

#include "sim/scenario.hpp"

namespace nestcup::sim {

/// Temperature of the room (degC) at a scenario time, draughts aside.
[[nodiscard]] double room_degC(const RoomSettings& room, double time_s);

/// Heat (W) that leaves through an open surface of water, by evaporation, to the air and by
/// radiation:
///
///     A (b L (d(T) - r d(T_room)) + (b rho cp + 5.8 W/(m2 K)) (T - T_room))
///
/// with the density d of saturated vapour (Magnus' formula as in WMO No. 8, Guide to Instruments
/// and Methods of Observation), the relative humidity r, L = 2450 J/g, and b = 6 mm/s in air that
/// moves at 0.2 m/s, heat being carried as vapour is (Lewis' relation; rho cp = 1200 J/(m3 K)).
/// Below what the room's dew point allows it is negative. @param open_cm2  >= 0
[[nodiscard]] double open_surface_W(double open_cm2, double degC, double room_degC,
                                    double relative_humidity);

/// What is integrated. Heat capacity and leak are in it because pouring changes them evenly.
struct CupState {
  enum Slot : std::size_t {
    capacity,  ///< C of contents and calorimeter, J/K
    leak,      ///< h, W/K
    cup,       ///< temperature of the contents, degC
    lid,       ///< temperature of the slow body, degC
    added,     ///< temperature of the second vessel's contents, degC
    first,     ///< heat of the first step not yet released, J
    waiting,   ///< heat of the second step whose first step has not happened yet, J
    second,    ///< heat of the second step not yet released, J
    inflow,    ///< integral of (inflowing heat capacity) x (its temperature) in this pour, J
    size
  };
};

/// The cup, the lid and the second vessel: settings that hold between two events, and the rates of
/// change of the state under them.
///
///     C dT/dt = c'(T_in - T) + P_release + P_heater + P_stir - h f (T - T_room) - g (T - T_lid)
///               - P_open
///
/// with c' the heat capacity poured in per second, f the draught's factor and P_open what an open
/// cup loses (open_surface_W; what evaporates is too little to count in C).
class Cup {
 public:
  using State = std::array<double, CupState::size>;

  explicit Cup(const Scenario& scenario);

  /// The state at time 0: the lid and the cup are as warm as each other.
  [[nodiscard]] State initial_state(const Scenario& scenario) const;

  /// Rates of change of the first CupState::size slots of a state at a scenario time.
  void derivatives(double time_s, const double* state, double* rates) const;

  /// Room temperature (degC) at a scenario time.
  [[nodiscard]] double air_degC(double time_s) const { return room_degC(room_, time_s); }
  /// Whether the second vessel holds something.
  [[nodiscard]] bool added_is_full() const { return added_is_full_; }
  /// Shortest time constant at work now (s), for the choice of the step.
  [[nodiscard]] double shortest_s(const double* state) const;

  /// Whether nothing flows in and next to nothing is still to be released (1 mJ is a few
  /// microkelvin).
  [[nodiscard]] bool is_quiet(const double* state) const;

  void refill(const CupSettings& cup, double* state);
  void refill_added(const AddedSettings& added, double* state);
  /// Starts a pour; a pour of no length is done at once.
  void begin_pour(const Mix& mix, double time_s, double* state);
  void end_pour();
  /// To be called when a solid's last portion is gone.
  void end_solid(double time_s);
  void set_heater_W(double power_W) { heater_W_ = power_W; }
  void set_stirring_W(double power_W) { stirring_W_ = power_W; }
  [[nodiscard]] bool is_stirred() const { return stirring_W_ > 0.0; }
  void set_draught_factor(double factor) { draught_factor_ = factor; }

 private:
  /// By how much slower than in stirred contents matter sets its heat free now.
  [[nodiscard]] double release_factor() const {
    return is_stirred() ? 1.0 : release_factor_at_rest_;
  }
  /// Temperature (degC) of what flows in now.
  [[nodiscard]] double inflow_degC(double time_s, const double* state) const;
  /// Share of what is put in of which a solid has set its heat free.
  [[nodiscard]] double solid_share(double time_s) const;
  /// Share of the heat that comes per second: as the pour goes, or as its solid dwindles.
  [[nodiscard]] double supply_per_s(double time_s) const;
  /// Puts what is released later into its place, and gives the rest.
  [[nodiscard]] double freed_at_once_J(double* state) const;
  void pour_at_once(double time_s, double* state) const;

  RoomSettings room_;
  std::optional<LidSettings> lid_;
  double release_factor_at_rest_ = 1.0;
  double added_leak_per_s_ = 0.0;
  bool added_is_full_ = true;
  double stirring_W_ = 0.0;
  double open_cm2_ = 0.0;
  double heater_W_ = 0.0;
  double draught_factor_ = 1.0;
  Mix mix_;  ///< the last mixing: its release goes on after the pour
  bool pouring_ = false;
  bool has_solid_ = false;  ///< some of the last mixing's solid is left
  double poured_from_s_ = 0.0;
  double cup_before_degC_ = 0.0;  ///< contents at the start of the pour
  double leak_slope_ = 0.0;       ///< of h during the pour, W/K/s
};

}  // namespace nestcup::sim
