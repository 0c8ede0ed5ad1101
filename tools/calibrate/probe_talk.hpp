// A probe of a running bench, as a calibration needs it: is it steady, and what does it show?
#pragma once

#include <functional>
#include <optional>
#include <string>

#include "core/analysis/calibration/steady_mean.hpp"
#include "core/analysis/readings/point.hpp"
#include "core/base/clock.hpp"
#include "core/base/result.hpp"
#include "core/sheet/bench_file.hpp"

namespace nestcup {

/// What the daemon says of a probe at one moment.
struct ProbeNow {
  TimeUs wall_us = 0;  ///< of the bench's clock
  std::optional<double> shown_degC;
  std::optional<double> steady_for_s;
  std::optional<double> drift_K_per_min;
};

/// Readings as the probe showed them, uncorrected, on the bench's axis.
struct ShownReadings {
  TimeUs now_us = 0;
  Curve curve;  ///< time in s since `origin_us` of the call
};

class ProbeTalk {
 public:
  /// One line for the person who waits.
  using Say = std::function<void(const std::string&)>;

  /// @errors unavailable: no daemon runs; no_input: the bench has no such probe
  [[nodiscard]] static Result<ProbeTalk> find(const BenchFile& bench, const std::string& name,
                                              Say say);

  [[nodiscard]] const std::string& name() const { return name_; }
  [[nodiscard]] Result<ProbeNow> now() const;
  /// Readings after a moment; what is older than some minutes is gone.
  [[nodiscard]] Result<ShownReadings> readings_after(TimeUs after_us, TimeUs origin_us) const;

  /// Waits until the daemon calls the probe steady.
  /// @param away_from  and shows at least 1 K more or less than this: it was moved
  /// @errors try_later: not within `patience_s` of the bench's time
  [[nodiscard]] Result<ProbeNow> wait_steady(double patience_s,
                                             std::optional<double> away_from_degC) const;
  /// The readings of the next `average_s`.
  /// @param origin_us  set to the moment at which they begin
  /// @errors try_later: fewer than 5 readings came
  [[nodiscard]] Result<Curve> collect(double average_s, TimeUs& origin_us) const;

 private:
  ProbeTalk(std::string control, std::string name, std::size_t place, Say say)
      : control_(std::move(control)), name_(std::move(name)), place_(place), say_(std::move(say)) {}

  std::string control_;
  std::string name_;
  std::size_t place_;  ///< in the status, from 0
  Say say_;
};

}  // namespace nestcup
