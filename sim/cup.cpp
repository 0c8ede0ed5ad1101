#include "sim/cup.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "sim/solid_course.hpp"

namespace nestcup::sim {

double room_degC(const RoomSettings& room, double time_s) {
  double temperature = room.temperature_degC + room.drift_K_per_h * time_s / 3600.0;
  if (room.cycle_K != 0.0) {
    temperature += room.cycle_K * std::sin(2.0 * std::numbers::pi * time_s / room.cycle_s);
  }
  return temperature;
}

namespace {

/// g/m3 of saturated water vapour over water.
double vapour_g_per_m3(double degC) {
  const double pressure_hPa = 6.112 * std::exp(17.62 * degC / (243.12 + degC));
  return 216.7 * pressure_hPa / (273.15 + degC);
}

}  // namespace

double open_surface_W(double open_cm2, double degC, double room_degC, double relative_humidity) {
  constexpr double carried_m_per_s = 0.006;
  constexpr double evaporation_J_per_g = 2450.0;
  constexpr double air_J_per_m3_K = 1200.0, radiation_W_per_m2_K = 5.8;
  const double vapour = vapour_g_per_m3(degC) - relative_humidity * vapour_g_per_m3(room_degC);
  const double W_per_m2 =
      carried_m_per_s * evaporation_J_per_g * vapour +
      (carried_m_per_s * air_J_per_m3_K + radiation_W_per_m2_K) * (degC - room_degC);
  return 1e-4 * open_cm2 * W_per_m2;
}

Cup::Cup(const Scenario& scenario)
    : room_(scenario.room),
      lid_(scenario.lid),
      release_factor_at_rest_(scenario.layers ? scenario.layers->release_factor : 1.0),
      added_leak_per_s_(scenario.added.leak_per_s),
      stirring_W_(scenario.cup.stirring_W),
      open_cm2_(scenario.cup.open_cm2) {}

Cup::State Cup::initial_state(const Scenario& scenario) const {
  State state{};
  state[CupState::capacity] = scenario.cup.heat_capacity_J_per_K;
  state[CupState::leak] = scenario.cup.leak_W_per_K;
  state[CupState::cup] = scenario.cup.temperature_degC;
  state[CupState::lid] = scenario.cup.temperature_degC;
  state[CupState::added] = scenario.added.temperature_degC;
  return state;
}

double Cup::inflow_degC(double time_s, const double* state) const {
  switch (mix_.from) {
    case Source::added:
      return state[CupState::added];
    case Source::room:
      return air_degC(time_s);
    case Source::cup:
      return cup_before_degC_;
    case Source::given:
      return mix_.temperature_degC;
  }
  return cup_before_degC_;
}

double Cup::solid_share(double time_s) const {
  const SolidCourse course(mix_.solid, mix_.solid_s);
  const double since_s = time_s - poured_from_s_, pour_s = mix_.pour_s;
  if (pour_s == 0.0) return course.share(since_s);
  return (course.sum_s(since_s) - course.sum_s(since_s - pour_s)) / pour_s;
}

double Cup::supply_per_s(double time_s) const {
  if (!has_solid_) return pouring_ ? 1.0 / mix_.pour_s : 0.0;
  const SolidCourse course(mix_.solid, mix_.solid_s);
  const double since_s = time_s - poured_from_s_, pour_s = mix_.pour_s;
  if (pour_s == 0.0) return course.per_s(since_s);
  return (course.share(since_s) - course.share(since_s - pour_s)) / pour_s;
}

void Cup::derivatives(double time_s, const double* state, double* rates) const {
  const double room = air_degC(time_s);
  const double cup = state[CupState::cup];
  // Heat and matter that arrive in the pour, per second.
  const double supply_per_s = this->supply_per_s(time_s);
  double first_W = mix_.heat_J * supply_per_s;
  double second_W = mix_.second_heat_J * supply_per_s;
  const double flow = pouring_ ? mix_.added_J_per_K / mix_.pour_s : 0.0;
  const double inflow = flow > 0.0 ? inflow_degC(time_s, state) : cup;

  rates[CupState::first] = 0.0;
  rates[CupState::waiting] = 0.0;
  rates[CupState::second] = 0.0;
  if (mix_.release_s > 0.0) {
    const double release_s = mix_.release_s * release_factor();
    const double released_W = state[CupState::first] / release_s;
    const double passed_on_W = state[CupState::waiting] / release_s;
    rates[CupState::first] = first_W - released_W;
    rates[CupState::waiting] = second_W - passed_on_W;
    first_W = released_W;
    second_W = passed_on_W;
  }
  if (mix_.second_release_s > 0.0) {
    const double release_s = mix_.second_release_s * release_factor();
    const double released_W = state[CupState::second] / release_s;
    rates[CupState::second] = second_W - released_W;
    second_W = released_W;
  }
  double power_W = flow * (inflow - cup) + first_W + second_W + heater_W_ + stirring_W_ -
                   state[CupState::leak] * draught_factor_ * (cup - room);
  if (open_cm2_ > 0.0) power_W -= open_surface_W(open_cm2_, cup, room, room_.relative_humidity);
  rates[CupState::lid] = 0.0;
  if (lid_) {
    const double into_lid_W = lid_->coupling_W_per_K * (cup - state[CupState::lid]);
    const double out_W = lid_->leak_W_per_K * (state[CupState::lid] - room);
    power_W -= into_lid_W;
    rates[CupState::lid] = (into_lid_W - out_W) / lid_->heat_capacity_J_per_K;
  }
  rates[CupState::capacity] = flow;
  rates[CupState::leak] = pouring_ ? leak_slope_ : 0.0;
  rates[CupState::cup] = power_W / state[CupState::capacity];
  rates[CupState::added] = -added_leak_per_s_ * (state[CupState::added] - room);
  rates[CupState::inflow] = flow * inflow;
}

double Cup::shortest_s(const double* state) const {
  // A leak, even in a draught, is never faster than this.
  double shortest =
      state[CupState::capacity] / std::max(1e-9, state[CupState::leak] * draught_factor_);
  const auto consider = [&shortest](double time_constant_s) {
    if (time_constant_s > 0.0) shortest = std::min(shortest, time_constant_s);
  };
  if (!is_quiet(state)) {
    consider(mix_.release_s);
    consider(mix_.second_release_s);
  }
  if (pouring_) consider(mix_.pour_s / 4.0);
  if (has_solid_) consider(SolidCourse(mix_.solid, mix_.solid_s).shortest_s());
  if (added_leak_per_s_ > 0.0) consider(1.0 / added_leak_per_s_);
  if (lid_) {
    const double exchange = lid_->coupling_W_per_K + lid_->leak_W_per_K;
    if (exchange > 0.0) consider(lid_->heat_capacity_J_per_K / exchange);
    if (exchange > 0.0) consider(state[CupState::capacity] / exchange);
  }
  return shortest;
}

bool Cup::is_quiet(const double* state) const {
  constexpr double next_to_nothing_J = 1e-3;
  return !pouring_ && !has_solid_ && std::abs(state[CupState::first]) < next_to_nothing_J &&
         std::abs(state[CupState::waiting]) < next_to_nothing_J &&
         std::abs(state[CupState::second]) < next_to_nothing_J;
}

void Cup::refill(const CupSettings& cup, double* state) {
  stirring_W_ = cup.stirring_W;
  open_cm2_ = cup.open_cm2;
  mix_ = Mix{};
  pouring_ = has_solid_ = false;
  state[CupState::capacity] = cup.heat_capacity_J_per_K;
  state[CupState::leak] = cup.leak_W_per_K;
  state[CupState::cup] = cup.temperature_degC;
  state[CupState::first] = 0.0;
  state[CupState::waiting] = 0.0;
  state[CupState::second] = 0.0;
}

void Cup::refill_added(const AddedSettings& added, double* state) {
  added_leak_per_s_ = added.leak_per_s;
  added_is_full_ = true;
  state[CupState::added] = added.temperature_degC;
}

void Cup::begin_pour(const Mix& mix, double time_s, double* state) {
  if (has_solid_) {
    // A new mixing breaks up what is left of the solid before.
    const double left = 1.0 - solid_share(time_s);
    const double left_J = left * (mix_.heat_J + mix_.second_heat_J);
    state[CupState::cup] += left_J / state[CupState::capacity];
  }
  mix_ = mix;
  poured_from_s_ = time_s;
  has_solid_ = mix.solid != Solid::none;
  cup_before_degC_ = state[CupState::cup];
  state[CupState::inflow] = 0.0;
  if (mix.pour_s == 0.0) {
    pour_at_once(time_s, state);
    end_pour();
    return;
  }
  const double leak_after = mix.leak_after_W_per_K.value_or(state[CupState::leak]);
  leak_slope_ = (leak_after - state[CupState::leak]) / mix.pour_s;
  pouring_ = true;
}

double Cup::freed_at_once_J(double* state) const {
  if (has_solid_) return 0.0;
  double freed_J = 0.0;
  double& later = mix_.release_s > 0.0 ? state[CupState::waiting] : state[CupState::second];
  if (mix_.release_s > 0.0) {
    state[CupState::first] += mix_.heat_J;
  } else {
    freed_J += mix_.heat_J;
  }
  if (mix_.release_s > 0.0 || mix_.second_release_s > 0.0) {
    later += mix_.second_heat_J;
  } else {
    freed_J += mix_.second_heat_J;
  }
  return freed_J;
}

void Cup::pour_at_once(double time_s, double* state) const {
  const double inflow_J = mix_.added_J_per_K * inflow_degC(time_s, state);
  const double heat_J =
      state[CupState::capacity] * state[CupState::cup] + inflow_J + freed_at_once_J(state);
  state[CupState::inflow] = inflow_J;
  state[CupState::capacity] += mix_.added_J_per_K;
  state[CupState::cup] = heat_J / state[CupState::capacity];
  state[CupState::leak] = mix_.leak_after_W_per_K.value_or(state[CupState::leak]);
}

void Cup::end_solid(double time_s) {
  constexpr double rounding_s = 1e-9;
  if (time_s >= poured_from_s_ + mix_.solid_s + mix_.pour_s - rounding_s) has_solid_ = false;
}

void Cup::end_pour() {
  pouring_ = false;
  if (mix_.from == Source::added) added_is_full_ = false;
}

}  // namespace nestcup::sim
