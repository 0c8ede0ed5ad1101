// What a probe showed before the readings that are being watched, where it alone serves both
// vessels: its way from the one to the other.
#pragma once

#include <deque>
#include <optional>
#include <vector>

#include "core/analysis/mixing/probe_tour.hpp"
#include "core/base/reading.hpp"

namespace nestcup {

/// A tour and all readings that are remembered.
struct SeenTour {
  ProbeTour tour;  ///< s from the first of `readings`
  std::vector<Reading> readings;
};

class ProbePast {
 public:
  explicit ProbePast(const std::vector<ProbeRole>& roles);

  /// What was watched and found to be no mixing becomes past.
  /// @param watched   readings by time
  /// @param onset_us  when the probe left its place
  /// @param until_us  from here on they are watched again
  void keep(const std::deque<Reading>& watched, TimeUs onset_us, TimeUs until_us);
  /// The oldest that was watched is watched no longer: where a way is remembered it follows on it,
  /// so that a run's readings have no hole.
  void follow_on(const Reading& reading);
  /// A run was found: what the cup holds now has been mixed, and is no foreperiod for another.
  void spend();
  void clear();
  /// The readings that can be of a further mixing: behind a run only what follows the probe's way
  /// out of the mixed liquid.
  /// @param onset_us  when the probe left its place
  [[nodiscard]] std::deque<Reading> unspent(const std::deque<Reading>& watched,
                                            TimeUs onset_us) const;

  /// See tour_before_mixing and tour_with_mixing.
  [[nodiscard]] std::optional<SeenTour> before_mixing(const std::deque<Reading>& watched,
                                                      TimeUs onset_us) const;
  [[nodiscard]] std::optional<SeenTour> with_mixing(const std::deque<Reading>& watched,
                                                    TimeUs end_us) const;
  /// What the cup's probe read, s from the first reading that is remembered.
  [[nodiscard]] Curve cup_curve(const std::deque<Reading>& watched, TimeUs until_us) const;
  /// See went_back.
  [[nodiscard]] bool was_visit(const std::deque<Reading>& watched, TimeUs onset_us,
                               TimeUs end_us) const;

 private:
  void forget_old(TimeUs now_us);
  [[nodiscard]] TimeUs first_us(const std::deque<Reading>& watched) const;
  [[nodiscard]] SeenTour seen(const std::deque<Reading>& watched, const ProbeTour& tour) const;

  std::vector<ProbeRole> roles_;
  bool one_probe_;
  bool spent_ = false;
  std::deque<Reading> readings_;  ///< at most twenty minutes of them
};

}  // namespace nestcup
