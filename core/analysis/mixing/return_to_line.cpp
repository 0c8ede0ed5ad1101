#include "core/analysis/mixing/return_to_line.hpp"

#include <algorithm>
#include <cmath>

namespace nestcup {
namespace {

constexpr double back_for_s = 20.0;
constexpr std::size_t least = 3;  // readings whose median is looked at
constexpr TimeUs longest_memory_us = 700 * us_per_s;
constexpr std::size_t most_lines = 4;
/// A line that may be off by more than this part of the way says nothing about a return.
constexpr double largest_doubt = 0.35;
/// Nor does a line that would have gone on by more than this part of the way since: it leads
/// through most of what lies ahead of it.
constexpr double most_drifted = 0.5;

double median_K(const std::vector<double>& distances, std::size_t first, std::size_t count) {
  const auto begin = distances.begin() + static_cast<std::ptrdiff_t>(first);
  return median_of({begin, begin + static_cast<std::ptrdiff_t>(count)});
}

/// Where the line can be, as a stretch of distances from it.
struct Band {
  double low_K, high_K;

  [[nodiscard]] bool holds(double distance_K) const {
    return low_K <= distance_K && distance_K <= high_K;
  }
  [[nodiscard]] double width_K() const { return high_K - low_K; }
};

/// A cup that leaks by up to 1e-3 per s of its distance slows down on its way: it lies on one side.
Band band_at(const WatchedLine& line, TimeUs time_us, std::size_t readings) {
  constexpr double usual_leak_per_s = 1e-3;
  const double time_s = to_s(time_us - line.origin_us);
  const double lead_s = time_s - line.fit.reference_s;
  const double u_K =
      std::hypot(1.25 * line.noise.total_K() / std::sqrt(static_cast<double>(readings)),
                 line.fit.u_at(time_s));
  const double rounding_K = line.noise.sd_K < 0.4 * line.noise.step_K ? line.noise.step_K : 0.0;
  const double either_K = std::max(0.04, 3.5 * u_K + rounding_K);
  const double bent_K = -0.5 * usual_leak_per_s * line.fit.slope_K_per_s * lead_s * lead_s;
  return {std::min(0.0, bent_K) - either_K, std::max(0.0, bent_K) + either_K};
}

/// How far the line has gone on since it was seen, K.
double drifted_K(const WatchedLine& line, TimeUs time_us) {
  const double lead_s = to_s(time_us - line.origin_us) - line.fit.reference_s;
  return std::abs(line.fit.slope_K_per_s * lead_s);
}

/// Whether readings drift as the line does, or slower.
/// @param most_K_per_s  where they may drift faster than that they say nothing
bool drifts_alike(const WatchedLine& line, const LineFit& now, double most_K_per_s = INFINITY) {
  const double own = line.fit.slope_K_per_s,
               u = std::hypot(line.fit.u_slope_K_per_s, now.u_slope_K_per_s);
  const double share = own > 0.0 ? now.slope_K_per_s : -now.slope_K_per_s;
  const double fastest = 1.2 * std::abs(own) + 4.0 * u + 2e-4;
  return fastest < most_K_per_s && share > -4.0 * u - 2e-4 && share < fastest;
}

/// Whether readings stand on one slow line. A few of a probe that passes by on its way into air and
/// back may have their median anywhere.
bool stands(const LineFit& now, const Noise& noise) {
  constexpr double least_K = 0.05, scatters = 4.0;
  return now.sd_K <= std::max(least_K, scatters * noise.total_K());
}

}  // namespace

bool came_back(const WatchedLine& line, TimeUs onset_us, CurveView since_onset) {
  if (since_onset.size() < 2 * least) return false;
  std::vector<double> distances;
  distances.reserve(since_onset.size());
  for (const Point& point : since_onset) {
    distances.push_back(line.distance_K(onset_us + to_us(point.time_s), point.temperature_degC));
  }
  const double end_s = since_onset.back().time_s;
  const std::size_t last =
      std::max(least, between(since_onset, end_s - back_for_s, INFINITY).size());
  if (distances.size() < last) return false;
  double farthest_K = 0.0;
  for (std::size_t i = 0; i + least <= distances.size(); ++i) {
    farthest_K = std::max(farthest_K, std::abs(median_K(distances, i, least)));
  }
  const LineFit now = fit_line(since_onset.last(last));
  const TimeUs time_us = onset_us + to_us(now.reference_s);
  const Band band = band_at(line, time_us, last);
  return band.width_K() < 2.0 * largest_doubt * farthest_K &&
         drifted_K(line, time_us) < most_drifted * farthest_K &&
         band.holds(median_K(distances, distances.size() - last, last)) &&
         stands(now, line.noise) &&
         drifts_alike(line, now, largest_doubt * farthest_K / back_for_s);
}

void LastStay::see(TimeUs origin_us, CurveView newest, const Noise& noise) {
  constexpr std::size_t least_readings = 5;
  constexpr double shortest_s = 20.0, straight_scatters = 1.3, least_scatter_K = 5e-4;
  if (newest.size() < least_readings || newest.back().time_s - newest.front().time_s < shortest_s) {
    return;
  }
  const LineFit fit = fit_line(newest);
  on_it_ = fit.sd_K < straight_scatters * std::max(noise.total_K(), least_scatter_K);
  if (on_it_) stay_ = {origin_us, fit, noise};
}

std::optional<WatchedLine> LastStay::left() const {
  return on_it_ ? std::nullopt : stay_;
}

void FormerLines::left(const WatchedLine& line, TimeUs time_us) {
  lines_.push_back({line, time_us});
  if (lines_.size() > most_lines) lines_.pop_front();
}

bool FormerLines::lead_back(TimeUs from_us, CurveView settled, double before_degC) const {
  if (settled.size() < least) return false;
  const LineFit now = fit_line(settled);
  const TimeUs time_us = from_us + to_us(now.reference_s);
  const double way_K = now.at_reference_degC - before_degC;
  return std::any_of(lines_.begin(), lines_.end(), [&](const Left& left) {
    if (from_us - left.time_us > longest_memory_us) return false;
    const Band band = band_at(left.line, time_us, settled.size());
    return band.width_K() < 2.0 * largest_doubt * std::abs(way_K) &&
           drifted_K(left.line, time_us) < most_drifted * std::abs(way_K) &&
           band.holds(left.line.distance_K(time_us, now.at_reference_degC)) &&
           drifts_alike(left.line, now);
  });
}

}  // namespace nestcup
