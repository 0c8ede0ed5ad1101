// The simulated bench: cup and probes carried through a scenario's events in time order.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "sim/cup.hpp"
#include "sim/layers.hpp"
#include "sim/probe.hpp"
#include "sim/scenario.hpp"

namespace nestcup::sim {

/// What a mixing (or a heating) really did, from the physics.
struct TrialTruth {
  std::string trial;
  int number = 1;                      ///< counts the trials of the same name
  double mixing_time_s = 0.0;          ///< start of the pour or of the heating
  double cup_at_mixing_degC = 0.0;     ///< contents at that time
  std::optional<double> added_degC{};  ///< mean of what was put in, where it had a heat capacity
  /// Rise that the same mixing gives without heat leak, lid and stirring: all heat released and all
  /// matter mixed into contents and calorimeter, which start at the cup's temperature.
  double corrected_rise_K = 0.0;
  double final_degC = 0.0;  ///< cup_at_mixing_degC + corrected_rise_K
};

/// A bench that can be moved forward and read. Fourth-order Runge-Kutta between events, in steps of
/// at most a tenth of the shortest time constant that is felt: errors stay below 0.02 mK.
class Bench {
 public:
  /// @param seed  of the probes' noise and of the wander in contents that are not stirred; all
  ///              other physics has no chance in it
  Bench(const Scenario& scenario, std::uint64_t seed);

  /// Moves the bench to a scenario time (s), not before the last one.
  void advance_to(double time_s);
  /// One reading (degC) of each probe now, in the scenario's order.
  [[nodiscard]] std::vector<double> read();

  [[nodiscard]] double time_s() const { return time_s_; }
  /// True temperature of the contents, degC.
  [[nodiscard]] double cup_degC() const { return state_[CupState::cup]; }
  /// True temperature of the second vessel's contents, degC.
  [[nodiscard]] double added_degC() const { return state_[CupState::added]; }
  /// Heat capacity of contents and calorimeter, J/K.
  [[nodiscard]] double heat_capacity_J_per_K() const { return state_[CupState::capacity]; }
  /// Temperature of a probe itself, degC, without noise and last digit.
  [[nodiscard]] double probe_degC(std::size_t probe) const;
  /// The state of a probe's wires. read() does not look at it: that is for the electronics.
  [[nodiscard]] Condition condition(std::size_t probe) const { return conditions_[probe]; }
  /// The trials whose pour or heating is over, in order.
  [[nodiscard]] const std::vector<TrialTruth>& truth() const { return truth_; }

 private:
  struct EndPour {
    Mix mix;
  };
  struct EndHeat {};
  struct EndDraught {};
  /// Of a solid, the first or the last portion is gone.
  struct SolidGone {};
  struct Action {
    double at_s = 0.0;
    int order = 0;  ///< at the same time, what ends goes before what begins
    std::variant<CarryProbe, FreshCup, FreshAdded, Mix, Heat, Knock, Draught, Stir, Wires, EndPour,
                 EndHeat, EndDraught, SolidGone>
        what;
  };
  using State = std::array<double, CupState::size + max_probes>;

  void plan(const std::vector<Event>& events);
  void integrate_to(double time_s);
  void step(double step_s);
  void derivatives(double time_s, const State& state, State& rates) const;
  /// A probe that follows at once leaves its place as warm as the place was.
  void settle_lagless();
  [[nodiscard]] double longest_step_s() const;
  [[nodiscard]] bool in_liquid(const Probe& probe) const;
  [[nodiscard]] double target_degC(std::size_t probe, double time_s, const State& state) const;
  void begin_truth(const std::string& trial);
  void end_truth(const Mix& mix);

  void apply(const CarryProbe& carry);
  void apply(const FreshCup& fresh);
  void apply(const FreshAdded& fresh);
  void apply(const Mix& mix);
  void apply(const Heat& heat);
  void apply(const Knock& knock);
  void apply(const Draught& draught);
  void apply(const Stir& stir);
  void apply(const Wires& wires);
  void apply(const EndPour& end);
  void apply(const SolidGone& gone);
  void apply(const EndHeat& end);
  void apply(const EndDraught& end);

  Cup cup_;
  Layers layers_;
  std::vector<Probe> probes_;
  std::vector<Condition> conditions_;
  std::vector<Action> actions_;
  std::size_t next_action_ = 0;
  State state_{};
  std::size_t slots_ = 0;  ///< how many of the state's slots are in use
  double time_s_ = 0.0;
  double air_offset_K_ = 0.0;
  TrialTruth open_truth_;
  double capacity_before_ = 0.0;
  std::vector<TrialTruth> truth_;
};

}  // namespace nestcup::sim
