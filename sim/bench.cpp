#include "sim/bench.hpp"

#include <algorithm>
#include <cmath>

namespace nestcup::sim {

namespace {

/// No step is longer than this, whatever the time constants.
constexpr double longest_step = 0.25;

}  // namespace

Bench::Bench(const Scenario& scenario, std::uint64_t seed)
    : cup_(scenario),
      layers_(scenario.layers, cup_.is_stirred(), seed, scenario.probes.size()),
      conditions_(scenario.probes.size(), Condition::whole),
      slots_(CupState::size + scenario.probes.size()) {
  const Cup::State start = cup_.initial_state(scenario);
  std::copy(start.begin(), start.end(), state_.begin());
  probes_.reserve(scenario.probes.size());
  for (const ProbeSettings& settings : scenario.probes) {
    probes_.emplace_back(settings, seed, probes_.size());
    // Every probe has been in its place long enough.
    state_[CupState::size + probes_.size() - 1] = target_degC(probes_.size() - 1, 0.0, state_);
  }
  plan(scenario.events);
}

void Bench::plan(const std::vector<Event>& events) {
  for (const Event& event : events) {
    Action action{event.at_s, 1, EndHeat{}};
    std::visit([&action](const auto& what) { action.what = what; }, event.what);
    actions_.push_back(action);
    if (const auto* mix = std::get_if<Mix>(&event.what)) {
      // A pour of no length ends behind its own beginning, not before.
      const int order = mix->pour_s > 0.0 ? 0 : 1;
      actions_.push_back({event.at_s + mix->pour_s, order, EndPour{*mix}});
      if (mix->solid != Solid::none) {
        // No step of the integration goes over a corner of its course.
        for (const double at_s : {mix->solid_s, mix->solid_s + mix->pour_s}) {
          actions_.push_back({event.at_s + at_s, 1, SolidGone{}});
        }
      }
    } else if (const auto* heat = std::get_if<Heat>(&event.what)) {
      actions_.push_back({event.at_s + heat->for_s, 0, EndHeat{}});
    } else if (const auto* draught = std::get_if<Draught>(&event.what)) {
      actions_.push_back({event.at_s + draught->for_s, 0, EndDraught{}});
    }
  }
  std::stable_sort(actions_.begin(), actions_.end(), [](const Action& a, const Action& b) {
    return a.at_s != b.at_s ? a.at_s < b.at_s : a.order < b.order;
  });
}

void Bench::advance_to(double time_s) {
  while (next_action_ < actions_.size() && actions_[next_action_].at_s <= time_s) {
    const Action& action = actions_[next_action_++];
    integrate_to(action.at_s);
    settle_lagless();
    std::visit([this](const auto& what) { apply(what); }, action.what);
  }
  integrate_to(time_s);
}

void Bench::integrate_to(double time_s) {
  const double span_s = time_s - time_s_;
  if (span_s <= 0.0) return;
  layers_.draw_until(time_s);
  const double count = std::ceil(span_s / longest_step_s() - 1e-9);
  const double step_s = span_s / count;
  const double start_s = time_s_;
  for (double done = 0.0; done < count; done += 1.0) {
    time_s_ = start_s + done * step_s;
    step(step_s);
  }
  time_s_ = time_s;
}

double Bench::longest_step_s() const {
  double longest = std::min(longest_step, cup_.shortest_s(state_.data()) / 10.0);
  const bool quiet = cup_.is_quiet(state_.data());
  for (std::size_t i = 0; i < probes_.size(); ++i) {
    const double lag = probes_[i].lag_s(in_liquid(probes_[i]));
    if (lag <= 0.0) continue;
    // A probe that has caught up can take longer steps: their relative error of 2e-4 is of the
    // distance to its target.
    const double behind = target_degC(i, time_s_, state_) - state_[CupState::size + i];
    const bool settled = quiet && std::abs(behind) < 0.01;
    longest = std::min(longest, lag * (settled ? 0.4 : 0.1));
  }
  return longest;
}

void Bench::step(double step_s) {
  // The classical Runge-Kutta formula of fourth order.
  State k1{};
  State k2{};
  State k3{};
  State k4{};
  State at = state_;
  const auto move = [&](const State& rates, double by_s) {
    for (std::size_t i = 0; i < slots_; ++i) at[i] = state_[i] + by_s * rates[i];
  };
  derivatives(time_s_, state_, k1);
  move(k1, step_s / 2.0);
  derivatives(time_s_ + step_s / 2.0, at, k2);
  move(k2, step_s / 2.0);
  derivatives(time_s_ + step_s / 2.0, at, k3);
  move(k3, step_s);
  derivatives(time_s_ + step_s, at, k4);
  for (std::size_t i = 0; i < slots_; ++i) {
    state_[i] += step_s / 6.0 * (k1[i] + 2.0 * k2[i] + 2.0 * k3[i] + k4[i]);
  }
}

void Bench::derivatives(double time_s, const State& state, State& rates) const {
  cup_.derivatives(time_s, state.data(), rates.data());
  for (std::size_t i = 0; i < probes_.size(); ++i) {
    const double lag = probes_[i].lag_s(in_liquid(probes_[i]));
    const std::size_t slot = CupState::size + i;
    if (lag > 0.0) rates[slot] = (target_degC(i, time_s, state) - state[slot]) / lag;
  }
}

bool Bench::in_liquid(const Probe& probe) const {
  return probe.place() == Place::cup || (probe.place() == Place::added && cup_.added_is_full());
}

double Bench::target_degC(std::size_t index, double time_s, const State& state) const {
  const Probe& probe = probes_[index];
  const double air_degC = cup_.air_degC(time_s) + air_offset_K_;
  if (probe.place() == Place::cup) {
    const double around_degC = state[CupState::cup] + layers_.offset_K(index, time_s);
    return probe.liquid_target_degC(around_degC, air_degC);
  }
  if (in_liquid(probe)) return probe.liquid_target_degC(state[CupState::added], air_degC);
  return probe.air_target_degC(air_degC, time_s);
}

double Bench::probe_degC(std::size_t probe) const {
  const Probe& at = probes_[probe];
  if (at.lag_s(in_liquid(at)) > 0.0) return state_[CupState::size + probe];
  return target_degC(probe, time_s_, state_);
}

void Bench::settle_lagless() {
  for (std::size_t i = 0; i < probes_.size(); ++i) state_[CupState::size + i] = probe_degC(i);
}

std::vector<double> Bench::read() {
  std::vector<double> readings(probes_.size());
  for (std::size_t i = 0; i < probes_.size(); ++i) {
    readings[i] = probes_[i].read(probe_degC(i), time_s_);
  }
  return readings;
}

void Bench::begin_truth(const std::string& trial) {
  open_truth_ = TrialTruth{};
  open_truth_.trial = trial;
  open_truth_.number =
      1 + static_cast<int>(std::count_if(truth_.begin(), truth_.end(), [&](const TrialTruth& past) {
        return past.trial == trial;
      }));
  open_truth_.mixing_time_s = time_s_;
  open_truth_.cup_at_mixing_degC = cup_degC();
  capacity_before_ = heat_capacity_J_per_K();
}

void Bench::end_truth(const Mix& mix) {
  const double heat_J = mix.heat_J + mix.second_heat_J;
  const double inflow_J = state_[CupState::inflow];
  const double cup = open_truth_.cup_at_mixing_degC;
  if (mix.added_J_per_K > 0.0) open_truth_.added_degC = inflow_J / mix.added_J_per_K;
  open_truth_.corrected_rise_K =
      (inflow_J - mix.added_J_per_K * cup + heat_J) / (capacity_before_ + mix.added_J_per_K);
  open_truth_.final_degC = cup + open_truth_.corrected_rise_K;
  truth_.push_back(open_truth_);
}

void Bench::apply(const CarryProbe& carry) {
  probes_[carry.probe].carry(carry.to, time_s_);
}

void Bench::apply(const FreshCup& fresh) {
  cup_.refill(fresh.cup, state_.data());
  layers_.set_stirred(cup_.is_stirred(), time_s_);
}

void Bench::apply(const FreshAdded& fresh) {
  cup_.refill_added(fresh.added, state_.data());
}

void Bench::apply(const Mix& mix) {
  begin_truth(mix.trial);
  cup_.begin_pour(mix, time_s_, state_.data());
}

void Bench::apply(const EndPour& end) {
  end_truth(end.mix);
  // Over many steps the sum of what came in is off in the last bits.
  state_[CupState::capacity] = capacity_before_ + end.mix.added_J_per_K;
  cup_.end_pour();
}

void Bench::apply(const SolidGone&) {
  cup_.end_solid(time_s_);
}

void Bench::apply(const Heat& heat) {
  begin_truth(heat.trial);
  open_truth_.corrected_rise_K = heat.power_W * heat.for_s / capacity_before_;
  open_truth_.final_degC = open_truth_.cup_at_mixing_degC + open_truth_.corrected_rise_K;
  truth_.push_back(open_truth_);
  cup_.set_heater_W(heat.power_W);
}

void Bench::apply(const EndHeat&) {
  cup_.set_heater_W(0.0);
}

void Bench::apply(const Knock& knock) {
  probes_[knock.probe].knock(knock.offset_K, time_s_ + knock.for_s);
}

void Bench::apply(const Draught& draught) {
  cup_.set_draught_factor(draught.leak_factor);
  air_offset_K_ = draught.air_offset_K;
}

void Bench::apply(const EndDraught&) {
  cup_.set_draught_factor(1.0);
  air_offset_K_ = 0.0;
}

void Bench::apply(const Stir& stir) {
  cup_.set_stirring_W(stir.power_W);
  layers_.set_stirred(cup_.is_stirred(), time_s_);
}

void Bench::apply(const Wires& wires) {
  conditions_[wires.probe] = wires.condition;
}

}  // namespace nestcup::sim
