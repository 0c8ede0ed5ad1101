#include "core/analysis/run_follower.hpp"

namespace nestcup {

RunInput run_input(const FinishedRun& run, const std::vector<ProbeRole>& roles) {
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
    }
  }
  input.onset_hint_s = to_s(run.onset_us - first_us);
  if (run.mark_us) input.mark_s = to_s(*run.mark_us - first_us);
  input.after_period_s = run.after_period_s;
  input.cut_by_next = run.cut_by_next;
  input.heater = run.heater;
  return input;
}

}  // namespace nestcup
