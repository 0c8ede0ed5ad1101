#include "core/analysis/readings/late_readings.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

namespace nestcup {
namespace {

constexpr double silent_intervals = 1.2, close_intervals = 0.85;
constexpr double punctual_intervals = 0.1;
constexpr double hand_interval_s = 5.0;
constexpr double longest_hold_s = 60.0;

double interval_s(CurveView curve, std::size_t i) {
  return curve[i].time_s - curve[i - 1].time_s;
}

/// No two intervals that follow each other are as unlike as at a bunch; nearly all curves end here.
bool is_free_of_bunches(CurveView curve) {
  for (std::size_t i = 2; i < curve.size(); ++i) {
    if (silent_intervals * interval_s(curve, i) < close_intervals * interval_s(curve, i - 1)) {
      return false;
    }
  }
  return true;
}

/// The probe's pace, s; nothing where it has none.
std::optional<double> pace_s(CurveView curve) {
  constexpr double even_share = 0.8;
  const double median_s = median_interval_s(curve);
  if (median_s <= 0.0 || median_s >= hand_interval_s) return std::nullopt;
  std::size_t even = 0;
  for (std::size_t i = 1; i < curve.size(); ++i) {
    if (std::abs(interval_s(curve, i) - median_s) < punctual_intervals * median_s) ++even;
  }
  if (static_cast<double>(even) < even_share * static_cast<double>(curve.size() - 1)) {
    return std::nullopt;
  }
  return median_s;
}

/// A bunch lies between two punctual readings.
struct Bunch {
  std::size_t before = 0, behind = 0;
  double intervals = 0.0;  ///< of the pace, between these two
};

bool begins_bunch(CurveView curve, std::size_t before, double pace) {
  return before + 2 < curve.size() && interval_s(curve, before + 1) > silent_intervals * pace &&
         interval_s(curve, before + 2) < close_intervals * pace;
}

/// The bunch behind `before`, up to a reading that keeps the pace of before, and is followed at
/// that pace.
std::optional<Bunch> bunch_behind(CurveView curve, std::size_t before, double pace) {
  for (std::size_t i = before + 2; i + 1 < curve.size(); ++i) {
    const double since_s = curve[i].time_s - curve[before].time_s;
    if (since_s > longest_hold_s) break;
    const double intervals = std::round(since_s / pace);
    const double off_s =
        std::max(std::abs(since_s - intervals * pace), std::abs(interval_s(curve, i + 1) - pace));
    if (off_s < punctual_intervals * pace && intervals >= static_cast<double>(i - before)) {
      return Bunch{before, i, intervals};
    }
  }
  return std::nullopt;
}

/// Takes the readings of the bunch, without the punctual ones at its ends.
void take_bunch(CurveView curve, const Bunch& bunch, InTheirTime& out) {
  const Point &before = curve[bunch.before], &behind = curve[bunch.behind];
  const double held_s = interval_s(curve, bunch.before + 1);
  LateReadings& late = out.late;
  if (late.longest_s == 0.0) late.from_s = before.time_s;
  late.longest_s = std::max(late.longest_s, held_s);
  const std::size_t count = bunch.behind - bunch.before;
  if (bunch.intervals > static_cast<double>(count)) {
    late.left_out += count - 1;
    return;
  }
  const double step_s = (behind.time_s - before.time_s) / bunch.intervals;
  for (std::size_t i = 1; i < count; ++i) {
    const double time_s = before.time_s + static_cast<double>(i) * step_s;
    out.curve.push_back({time_s, curve[bunch.before + i].temperature_degC});
  }
  late.put_back += count - 1;
}

}  // namespace

InTheirTime in_their_time(Curve curve) {
  InTheirTime out;
  const auto pace = is_free_of_bunches(curve) ? std::nullopt : pace_s(curve);
  if (!pace) {
    out.curve = std::move(curve);
    return out;
  }
  for (std::size_t i = 0; i < curve.size(); ++i) {
    out.curve.push_back(curve[i]);
    if (!begins_bunch(curve, i, *pace)) continue;
    const auto bunch = bunch_behind(curve, i, *pace);
    if (!bunch) continue;
    take_bunch(curve, *bunch, out);
    i = bunch->behind - 1;
  }
  return out;
}

}  // namespace nestcup
