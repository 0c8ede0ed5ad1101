// SameValues: whether a probe's quantity stays the same for longer than it ever did by chance.
#pragma once

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>

namespace nestcup::drivers {

/// Learns, in stretches of 50 readings, how often a reading equals the one before. Where even the
/// quietest of the last ten stretches changed in a fifth of its readings, the digits follow the
/// noise, and 150 equal readings in a row (chance below 1e-14) are a source that has frozen. A
/// display that hides its noise stands still for hours; its own quiet stretches excuse it.
class SameValues {
 public:
  static constexpr int stretch = 50;
  static constexpr int least_changes = 10;
  static constexpr std::uint64_t frozen_after = 150;

  void take(double raw) {
    if (last_ && raw == *last_) {
      ++in_a_row_;
    } else {
      if (last_) in_a_row_ = 1;
      changes_ += last_ ? 1 : 0;
    }
    if (!last_) in_a_row_ = 1;
    last_ = raw;
    if (in_a_row_ >= stretch) {
      // The stretch under way stands still: it tells of the standstill, not of the noise.
      seen_ = changes_ = 0;
      return;
    }
    if (++seen_ < stretch) return;
    past_[next_] = changes_;
    next_ = (next_ + 1) % past_.size();
    filled_ = std::min(filled_ + 1, past_.size());
    seen_ = changes_ = 0;
  }

  [[nodiscard]] std::uint64_t in_a_row() const { return in_a_row_; }
  [[nodiscard]] bool is_frozen() const {
    if (in_a_row_ < frozen_after || filled_ < 3) return false;
    return *std::min_element(past_.begin(), past_.begin() + static_cast<std::ptrdiff_t>(filled_)) >=
           least_changes;
  }

 private:
  std::optional<double> last_;
  std::uint64_t in_a_row_ = 0;
  int seen_ = 0;
  int changes_ = 0;
  std::array<int, 10> past_{};
  std::size_t next_ = 0;
  std::size_t filled_ = 0;
};

}  // namespace nestcup::drivers
