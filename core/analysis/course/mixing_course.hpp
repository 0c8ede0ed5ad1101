// What one probe shows before, during and after a mixing in a leaking cup.
//
//   cup    dT/dt = k (T_rest - T) + rise x (release of the pour)
//   probe  dT_p/dt = (T - T_p) / lag
//
// The leak rate k = h/C falls evenly from its value before to that after while liquid is poured in.
#pragma once

#include <Eigen/Dense>
#include <array>
#include <optional>

#include "core/analysis/course/dissolving.hpp"
#include "core/analysis/course/thinned_pour.hpp"

namespace nestcup {

/// Places of the model's parameters in its vectors.
namespace course {
enum Parameter : int {
  start_degC,   ///< cup (not probe) at the start of the pour
  rest_degC,    ///< where the cup drifts to: room and stirring heat
  log_rate,     ///< ln(k s), after the pour
  log_ratio,    ///< ln of the rate before over that after
  rise_K,       ///< corrected temperature rise
  mixing_s,     ///< start of the pour
  log_pour,     ///< ln(length of the pour / s)
  log_release,  ///< ln(release time / s)
  log_lag,      ///< ln(lag of the probe / s)
  slow_share,   ///< share of the rise that a second, slower release sets free
  log_slow,     ///< ln(its time / s)
  lid_share,    ///< minus the share of all heat that a lid has taken up in the end
  log_lid,      ///< ln(the lid's time / s)
  count
};
using Vector = Eigen::Matrix<double, count, 1>;
using Matrix = Eigen::Matrix<double, count, count>;
/// What takes part beside pour, release, lag and leak. Pours warm the cup evenly but for the
/// thinned ones (thinned_pour.hpp); in the place of a pour there may be a solid that dissolves
/// (dissolving.hpp), its time as the pour's length.
enum class Form {
  one_release,
  one_thinned,
  one_sheet,
  one_rod,
  one_grain,
  one_skinned,   ///< told from rivals, never taken for a rise
  two_releases,  ///< slow_share and log_slow
  two_thinned,
  with_lid  ///< two releases, and a lid that follows the cup
};

[[nodiscard]] constexpr bool is_thinned(Form form) {
  return form == Form::one_thinned || form == Form::two_thinned;
}

inline constexpr std::array solid_forms{Form::one_sheet, Form::one_rod, Form::one_grain};
[[nodiscard]] constexpr std::optional<SolidShape> solid_of(Form form) {
  if (form == Form::one_sheet) return SolidShape::sheet;
  if (form == Form::one_rod) return SolidShape::rod;
  if (form == Form::one_grain) return SolidShape::grain;
  if (form == Form::one_skinned) return SolidShape::skinned;
  return std::nullopt;
}

/// How many parameters take part, the first ones.
[[nodiscard]] constexpr int taking_part(Form form) {
  if (form == Form::with_lid) return count;
  return form == Form::two_releases || form == Form::two_thinned ? lid_share : slow_share;
}

/// The form less its slow part.
[[nodiscard]] constexpr Form without_slow(Form form) {
  return taking_part(form) > slow_share ? Form::one_release : form;
}
}  // namespace course

/// A lid of time t that follows a release of time r answers with the share
///   a/(s+a) c/(s+c) = g R(t) - (g - 1) R(r),    a = 1/r, c = 1/t, g = t/(t - r),
/// where R are the answers of single releases.
struct LidDelay {
  double lid = 0.0, release = 0.0;  ///< g and g - 1
};

class MixingCourse {
 public:
  MixingCourse(const course::Vector& parameters, course::Form form);

  /// Temperature that the probe shows, degC.
  [[nodiscard]] double at(double time_s) const;
  /// The same with its derivatives by the parameters.
  double at(double time_s, course::Vector& slope) const;

  /// Cup (not probe) before the mixing, carried on behind it, degC.
  [[nodiscard]] double fore_at(double time_s) const;
  /// The after period's slow drift, carried back as if release and lag had always died out, degC.
  [[nodiscard]] double after_at(double time_s) const;

 private:
  double fore(double time_s, course::Vector& slope) const;
  double after(double time_s, course::Vector& slope) const;
  /// Share of all releases; sets the slopes of what only it hangs on.
  Share share_at(double since_s, course::Vector& slope) const;
  void add_lid(double since_s, const Share& fast, const Share& slow, Share& share,
               course::Vector& slope) const;
  /// The share from those of its parts.
  [[nodiscard]] double mixed(double fast, double slow, double lid) const;

  course::Vector p_;
  double rate_, fore_rate_, lag_s_;
  double changing_s_;              ///< for so long the leak rate changes: no solid changes it
  double seen_fore_, seen_after_;  ///< how much larger a settled drift's distance shows for the lag
  double share_in_pour_, share_by_pour_;  ///< of the rise, as the rate in the pour sees it
  double effective_rise_K_, rise_factor_;
  ThinnedPour fast_;
  std::optional<ThinnedPour> slow_, lid_;
  std::optional<DissolvingResponse> solid_;  ///< in the place of the fast one
  LidDelay lid_of_fast_, lid_of_slow_;
};

}  // namespace nestcup
