#include "core/analysis/readings/counted_readings.hpp"

#include <algorithm>
#include <utility>

#include "core/analysis/readings/alike_readings.hpp"
#include "core/analysis/readings/converter_values.hpp"
#include "core/analysis/readings/held_values.hpp"

namespace nestcup {
namespace {

/// A board's readings are alike before the mixing and behind it; a carried probe's, or what a bath
/// does, only here or there.
std::size_t apart_in_both(CurveView curve, double onset_s) {
  constexpr std::size_t telling = 40;
  constexpr double guard_s = 5.0, settled_s = 45.0;
  if (curve.empty()) return 1;
  const CurveView before = between(curve, curve.front().time_s, onset_s - guard_s);
  const CurveView behind = between(curve, onset_s + settled_s, curve.back().time_s + 1.0);
  // A curve that begins with the onset shows where the probe went.
  if (before.empty()) return 1;
  if (before.size() < telling) return readings_apart(behind, {});
  return readings_apart(before, behind.last(std::min(behind.size(), curve.size() / 3)));
}

}  // namespace

CountedReadings counted_readings(Curve curve, std::optional<double> onset_s) {
  CountedReadings counted;
  InTheirTime timely = in_their_time(std::move(curve));
  counted.late = timely.late;
  const std::size_t times = times_said(timely.curve);
  Converted converted = as_converted(without_repeats(std::move(timely.curve), times));
  counted.uneven_K = converted.uneven_K;
  const std::size_t apart = onset_s ? apart_in_both(converted.curve, *onset_s) : 1;
  counted.one_in = times * apart;
  counted.curve = apart == 1 ? std::move(converted.curve) : taken_apart(converted.curve, apart);
  return counted;
}

}  // namespace nestcup
