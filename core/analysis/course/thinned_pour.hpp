// A pour into contents that grow with it: each portion warms more than the one before.
#pragma once

#include <optional>

#include "core/analysis/course/pour_response.hpp"

namespace nestcup {

/// What is poured evenly and mixes at once warms contents that grow by the ratio R by the share
///   F(x) = R x / (1 + (R - 1) x)
/// of the whole, x being the part of the pour (the balance of heats, R x of inflow in 1 + (R - 1) x
/// of contents). Two even pours come close to that, one behind the other: the share F(0.4) within
/// the first 0.4 of the pour, the rest behind. They stay within 0.05 of it where R is 2; one even
/// pour is off by 0.17.
class ThinnedPour {
 public:
  /// @param log_ratio  ln R; nothing: an even pour
  ThinnedPour(const ResponseTimes& times, std::optional<double> log_ratio);

  [[nodiscard]] Share at(double since_s) const;
  [[nodiscard]] double value_at(double since_s) const;
  /// See PourResponse.
  [[nodiscard]] double settled(double since_s) const;

 private:
  double first_s_ = 0.0;                           ///< length of the first of the two pours
  double share_ = 1.0, share_by_log_ratio_ = 0.0;  ///< of the whole, from the first
  PourResponse first_;
  std::optional<PourResponse> second_;
};

}  // namespace nestcup
