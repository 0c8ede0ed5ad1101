#include <utility>

#include "core/analysis/readings/counted_readings.hpp"
#include "core/analysis/run/run_follower.hpp"

namespace nestcup {
namespace {

/// Deals one probe's readings out to the vessels in which it stood; those in air belong to nobody.
void deal_out(const ProbeTour& tour, RunInput& input) {
  const Curve all = std::exchange(input.cup, {});
  input.cup = in_cup(all, tour);
  input.added = in_vessel(all, tour);
  input.one_probe = true;
  if (tour.cup_after) input.pour_within = {tour.earliest_pour_s(), tour.latest_pour_s};
  if (tour.cup_first) input.away = {tour.cup_first->end_s, tour.cup_before.start_s};
  if (tour.cup_after) input.away = {tour.cup_before.end_s, tour.cup_after->start_s};
}

/// What a probe read that was out of the cup for a while.
void leave_out(const Period& away, RunInput& input) {
  std::erase_if(input.cup, [&](const Point& point) {
    return point.time_s >= away.start_s && point.time_s <= away.end_s;
  });
  input.away = away;
}

void deal_out(const FinishedRun& run, RunInput& input) {
  if (run.readings.empty()) return;
  const TimeUs first_us = run.readings.front().time_us;
  if (run.tour) deal_out(*run.tour, input);
  if (run.away) {
    leave_out({to_s(run.away->left_us - first_us), to_s(run.away->back_us - first_us)}, input);
  }
}

void take_what_counts(RunInput& input) {
  CountedReadings cup = counted_readings(std::move(input.cup), input.onset_hint_s);
  input.cup = std::move(cup.curve);
  input.late = cup.late;
  input.one_in = cup.one_in;
  input.uneven_K = cup.uneven_K;
  // Both probes are on one board mostly; what a second vessel does behind the pour tells little.
  const auto onset_s = cup.one_in > 1 ? std::optional(input.onset_hint_s) : std::nullopt;
  input.added = counted_readings(std::move(input.added), onset_s).curve;
}

/// All that the probes read, each as it came.
RunInput as_read(const FinishedRun& run, const std::vector<ProbeRole>& roles) {
  RunInput input;
  if (run.readings.empty()) return input;
  const TimeUs first_us = run.readings.front().time_us;
  for (const Reading& reading : run.readings) {
    const Point point{to_s(reading.time_us - first_us), reading.temperature_degC};
    switch (roles[reading.probe]) {
      case ProbeRole::cup:
        input.cup.push_back(point);
        break;
      case ProbeRole::added:
        input.added.push_back(point);
        break;
      case ProbeRole::room:
        input.room.push_back(point);
        break;
      case ProbeRole::other:
        break;
    }
  }
  input.onset_hint_s = to_s(run.onset_us - first_us);
  if (run.mark_us) input.mark_s = to_s(*run.mark_us - first_us);
  input.marked_by = run.marked_by;
  input.after_period_s = run.after_period_s;
  input.cut_by_next = run.cut_by_next;
  input.heater = run.heater;
  return input;
}

}  // namespace

RunInput all_readings(const FinishedRun& run, const std::vector<ProbeRole>& roles) {
  RunInput input = as_read(run, roles);
  deal_out(run, input);
  return input;
}

RunInput run_input(const FinishedRun& run, const std::vector<ProbeRole>& roles) {
  RunInput input = as_read(run, roles);
  if (!run.readings.empty()) take_what_counts(input);
  deal_out(run, input);
  return input;
}

}  // namespace nestcup
