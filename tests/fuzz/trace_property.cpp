#include "tests/fuzz/trace_property.hpp"

#include <cmath>

#include "core/record/replay.hpp"

namespace nestcup::fuzzing {
namespace {

constexpr std::size_t most_replayed = 2000;

bool same_readings(const Trace& a, const Trace& b) {
  if (a.roles != b.roles || a.readings.size() != b.readings.size()) return false;
  for (std::size_t i = 0; i < a.readings.size(); ++i) {
    const Reading &x = a.readings[i], &y = b.readings[i];
    if (x.probe != y.probe || x.time_us != y.time_us) return false;
    if (x.temperature_degC != y.temperature_degC) return false;
  }
  return true;
}

std::optional<std::string> broken_round_trip(const Trace& trace) {
  const std::string text = trace_text(trace.readings, trace.roles, trace.raw_units, 0);
  const auto again = parse_trace(text, "again");
  if (!again) return "its own text is refused: " + again.error().text;
  if (!same_readings(trace, *again)) return "its own text gives other readings";
  return std::nullopt;
}

/// A double that is not finite would be written as null where a number must stand.
std::optional<std::string> broken_number(const Json& json, const std::string& path) {
  if (json.is_number_float() && !std::isfinite(json.get<double>())) return "not finite: " + path;
  if (!json.is_structured()) return std::nullopt;
  for (const auto& [key, value] : json.items()) {
    if (auto broken = broken_number(value, path + "/" + key)) return broken;
  }
  return std::nullopt;
}

std::optional<std::string> broken_run(const ReplayedRun& run) {
  if (auto broken = broken_number(run.made.record, "")) return broken;
  if (run.made.analysis.mixing_time_s.u < 0.0) return "the mixing time's uncertainty is negative";
  for (const RiseEstimate& estimate : run.made.analysis.estimates) {
    if (!std::isfinite(estimate.value_K)) return "a rise is not finite";
    if (!(estimate.u_K >= 0.0)) return "an uncertainty is negative or none";
  }
  return std::nullopt;
}

}  // namespace

std::optional<std::string> broken_trace_property(std::string_view text) {
  const auto trace = parse_trace(text, "fuzz.csv");
  if (!trace) {
    if (!trace.error().text.starts_with("fuzz.csv:")) return "no place: " + trace.error().text;
    return std::nullopt;
  }
  if (auto broken = broken_round_trip(*trace)) return broken;
  if (trace->readings.size() > most_replayed) return std::nullopt;
  for (const ReplayedRun& run : replay_trace(*trace, {}, [] { return std::string("id"); })) {
    if (auto broken = broken_run(run)) return broken;
  }
  return std::nullopt;
}

}  // namespace nestcup::fuzzing
