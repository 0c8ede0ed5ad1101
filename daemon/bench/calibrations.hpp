// The calibrations of a bench's probes: which hold, and what the probes showed before them.
#pragma once

#include <algorithm>
#include <cstddef>
#include <deque>
#include <mutex>
#include <optional>
#include <utility>
#include <vector>

#include "core/base/clock.hpp"
#include "core/sheet/bench_file.hpp"
#include "core/store/store.hpp"

namespace nestcup::daemon {

/// All rows of the store and what holds after them. Changed on the io_context's thread alone;
/// held() and all() may be asked from others.
class Calibrations {
 public:
  Calibrations(const BenchFile& file, std::vector<StoredCalibration> rows);

  /// A reading of the bench's probe with this index as it counts. Of the io_context's thread.
  [[nodiscard]] double corrected_degC(std::size_t probe, double shown_degC) const;
  [[nodiscard]] const std::vector<StoredCalibration>& rows() const { return rows_; }
  /// The same, copied, for any thread.
  [[nodiscard]] std::vector<StoredCalibration> all() const;
  /// What holds of each probe, in the bench file's order.
  [[nodiscard]] std::vector<HeldCalibration> held() const;

  /// Adds a row and gives it its number.
  /// @errors no_input: `again` names no correction of this probe
  [[nodiscard]] Result<StoredCalibration> add(StoredCalibration row);
  /// Takes a row back that could not be stored.
  void take_back(int number);

 private:
  void hold(std::vector<StoredCalibration> rows);

  const BenchFile& file_;
  mutable std::mutex mutex_;
  std::vector<StoredCalibration> rows_;  ///< others read both behind the mutex
  std::vector<HeldCalibration> held_;
};

/// The readings of the last minutes of one probe, uncorrected.
class SeenReadings {
 public:
  /// Longer than any plunge or average.
  static constexpr TimeUs kept_us = 20 * 60 * us_per_s;
  /// Bounds for fast devices, and for many of them: of one probe, and of all together.
  static constexpr std::size_t most = 30'000;
  static constexpr std::size_t most_of_all = 400'000;

  explicit SeenReadings(std::size_t probes)
      : most_(std::min(most, most_of_all / std::max<std::size_t>(probes, 1))) {}

  struct Seen {
    TimeUs time_us = 0;
    double shown_degC = 0.0;
  };

  void take(TimeUs time_us, double shown_degC);
  [[nodiscard]] std::vector<Seen> after(TimeUs time_us) const;

 private:
  std::size_t most_;
  std::deque<Seen> seen_;
};

/// The row that takes back the newest change of a probe's correction: `again` with what held
/// before it, or `none`. Nothing where no change was ever made.
[[nodiscard]] std::optional<StoredCalibration> undo_of(const std::vector<StoredCalibration>& rows,
                                                       const std::string& probe);

}  // namespace nestcup::daemon
