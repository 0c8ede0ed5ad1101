#include "core/analysis/course/thinned_pour.hpp"

#include <cmath>

namespace nestcup {
namespace {

constexpr double first_part = 0.4;

/// A part of the pour, as a pour of its own.
ResponseTimes part_of(ResponseTimes times, double part) {
  times.pour_s *= part;
  return times;
}

double mixed(double first, double second, double share) {
  return second + share * (first - second);
}

}  // namespace

ThinnedPour::ThinnedPour(const ResponseTimes& times, std::optional<double> log_ratio)
    : first_(part_of(times, log_ratio ? first_part : 1.0)) {
  if (!log_ratio) return;
  const double ratio = std::exp(*log_ratio), contents = 1.0 + (ratio - 1.0) * first_part;
  share_ = ratio * first_part / contents;
  share_by_log_ratio_ = share_ * (1.0 - first_part) / contents;
  first_s_ = first_part * times.pour_s;
  second_.emplace(part_of(times, 1.0 - first_part));
}

double ThinnedPour::value_at(double since_s) const {
  const double first = first_.value_at(since_s);
  return second_ ? mixed(first, second_->value_at(since_s - first_s_), share_) : first;
}

double ThinnedPour::settled(double since_s) const {
  const double first = first_.settled(since_s);
  return second_ ? mixed(first, second_->settled(since_s - first_s_), share_) : first;
}

Share ThinnedPour::at(double since_s) const {
  const Share first = first_.at(since_s);
  if (!second_) return first;
  Share second = second_->at(since_s - first_s_);
  // The longer the pour, the later its second part begins.
  second.by_log_pour -= first_s_ * second.by_time_per_s;
  Share share = blended(first, second, share_);
  share.by_log_ratio = share_by_log_ratio_ * (first.value - second.value);
  return share;
}

}  // namespace nestcup
