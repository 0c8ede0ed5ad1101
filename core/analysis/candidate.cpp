#include "core/analysis/candidate.hpp"

#include <algorithm>
#include <cmath>

#include "core/analysis/line_fit.hpp"
#include "core/analysis/noise.hpp"
#include "core/analysis/response.hpp"
#include "core/analysis/settling.hpp"

namespace nestcup {
namespace {

constexpr double smallest_rise_K = 0.10;
constexpr double long_excursion_s = 8.0;
constexpr double slow_ramp_s = 60.0;
constexpr double longest_pour_half_s = 12.0;  // 10 to 50 % of the way: a pour of half a minute

/// The way from the old course (0) to the new one (1), at the readings of the main period.
struct Progress {
  std::vector<double> time_s;
  std::vector<double> share;

  /// First time at which the share passes `level`, linear between readings.
  [[nodiscard]] double passes(double level) const {
    for (std::size_t i = 1; i < share.size(); ++i) {
      if (share[i] < level) continue;
      const double step = share[i] - share[i - 1];
      const double part = step > 0.0 ? std::clamp((level - share[i - 1]) / step, 0.0, 1.0) : 1.0;
      return time_s[i - 1] + part * (time_s[i] - time_s[i - 1]);
    }
    return time_s.empty() ? 0.0 : time_s.back();
  }

  /// Longest stretch spent clearly outside of the way, s.
  [[nodiscard]] double excursion_s() const {
    double longest = 0.0, begun = -1.0;
    for (std::size_t i = 0; i < share.size(); ++i) {
      const bool outside = share[i] > 1.2 || share[i] < -0.2;
      if (outside && begun < 0.0) begun = time_s[i];
      if (!outside) begun = -1.0;
      if (begun >= 0.0) longest = std::max(longest, time_s[i] - begun);
    }
    return longest;
  }
};

/// The fore line is taken near the onset only: a cup that is still coming to rest bends.
LineFit fore_line(CurveView curve, double onset_s, const Noise& noise) {
  CurveView fore = between(curve, onset_s - 120.0, onset_s - 3.0);
  if (fore.size() < 3) fore = between(curve, onset_s - 240.0, onset_s);
  const auto steady_s = settled_from(fore, noise);
  return fit_line(steady_s ? between(fore, *steady_s, onset_s) : fore);
}

/// Release through delays is fast first and slow at the end: the second half of the way takes at
/// least half as long again as the first (1.7 times for three equal delays in a row, 2.7 for one).
/// An even way is a pour if short, a heater if long; slow first and fast at the end is a probe that
/// leaves one liquid, hangs in air and enters another.
Verdict judge_pace(const Progress& progress, double interval_s, bool heater) {
  const double early_s = progress.passes(0.5) - progress.passes(0.1);
  const double late_s = progress.passes(0.9) - progress.passes(0.5);
  if (early_s < std::max(longest_pour_half_s, 2.0 * interval_s)) return Verdict::mixing;
  if (late_s < 0.6 * early_s) return Verdict::probe_moved;
  if (heater || late_s >= 1.45 * early_s) return Verdict::mixing;
  return early_s + late_s > slow_ramp_s ? Verdict::slow_heating : Verdict::probe_moved;
}

/// Whether one pour through release and lag explains the way; a probe that is plunged into another
/// liquid leaves a kink.
bool is_smooth(const Progress& progress, double onset_s, double rise_K, const Noise& noise) {
  Curve course;
  for (std::size_t i = 0; i < progress.share.size(); ++i) {
    course.push_back({progress.time_s[i], progress.share[i] * rise_K});
  }
  if (course.size() < 8) return true;
  const MixingFit fit = fit_mixing(course, onset_s, rise_K, noise);
  return fit.sd_K < std::max(0.006 * std::abs(rise_K), 3.0 * noise.total_K());
}

}  // namespace

std::string_view verdict_name(Verdict verdict) {
  switch (verdict) {
    case Verdict::mixing:
      return "mixing";
    case Verdict::too_small:
      return "too small a rise";
    case Verdict::probe_moved:
      return "the probe was moved";
    case Verdict::slow_heating:
      return "slow heating without a heater in the trial";
  }
  return "mixing";
}

Verdict judge_candidate(CurveView curve, double onset_s, double settled_s, bool heater) {
  const Noise noise = estimate_run_noise(curve, onset_s - 5.0);
  const LineFit fore = fore_line(curve, onset_s, noise);
  const LineFit after = fit_line(between(curve, settled_s, settled_s + 120.0));
  const double rise_K = after.at(onset_s) - fore.at(onset_s);
  if (std::abs(rise_K) <
      std::max(smallest_rise_K,
               5.0 * noise.total_K() /
                   std::sqrt(static_cast<double>(std::max<std::size_t>(1, after.count))))) {
    return Verdict::too_small;
  }
  Progress progress;
  for (const Point& point : between(curve, onset_s - 15.0, settled_s + 1.0)) {
    const double from = fore.at(point.time_s), to = after.at(point.time_s);
    progress.time_s.push_back(point.time_s);
    progress.share.push_back((point.temperature_degC - from) / (to - from));
  }
  // Beyond the new course and back: a wet probe in air, or a rinse.
  if (progress.excursion_s() > long_excursion_s) return Verdict::probe_moved;
  const Verdict verdict = judge_pace(progress, median_interval_s(curve), heater);
  if (verdict != Verdict::mixing) return verdict;
  return heater || is_smooth(progress, onset_s, rise_K, noise) ? Verdict::mixing
                                                               : Verdict::probe_moved;
}

}  // namespace nestcup
