#include "daemon/bench/calibrations.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "daemon/store/bench_facts.hpp"

namespace nestcup::daemon {

using Kind = StoredCalibration::Kind;

Calibrations::Calibrations(const BenchFile& file, std::vector<StoredCalibration> rows)
    : file_(file), rows_(std::move(rows)), held_(held_on_bench(file, rows_)) {}

double Calibrations::corrected_degC(std::size_t probe, double shown_degC) const {
  const auto& correction = held_[probe].correction;
  return correction ? correction->calibration.corrected_degC(shown_degC) : shown_degC;
}

std::vector<HeldCalibration> Calibrations::held() const {
  const std::lock_guard lock(mutex_);
  return held_;
}

std::vector<StoredCalibration> Calibrations::all() const {
  const std::lock_guard lock(mutex_);
  return rows_;
}

void Calibrations::hold(std::vector<StoredCalibration> rows) {
  auto held = held_on_bench(file_, rows);
  const std::lock_guard lock(mutex_);
  rows_ = std::move(rows);
  held_ = std::move(held);
}

Result<StoredCalibration> Calibrations::add(StoredCalibration row) {
  const bool refers = row.kind == Kind::again;
  const bool found = std::any_of(rows_.begin(), rows_.end(), [&](const StoredCalibration& older) {
    return older.probe == row.probe && older.kind == Kind::correction && row.again == older.number;
  });
  if (refers && !found) {
    return Error{Fault::no_input, fmt::format("probe {} has no calibration number {}; see nestcup "
                                              "calibrate --list",
                                              row.probe, row.again.value_or(0))};
  }
  row.number = rows_.empty() ? 1 : rows_.back().number + 1;
  auto rows = rows_;
  rows.push_back(row);
  hold(std::move(rows));
  return row;
}

void Calibrations::take_back(int number) {
  auto rows = rows_;
  std::erase_if(rows, [&](const StoredCalibration& row) { return row.number == number; });
  hold(std::move(rows));
}

void SeenReadings::take(TimeUs time_us, double shown_degC) {
  seen_.push_back({time_us, shown_degC});
  while (seen_.size() > most_ || seen_.front().time_us < time_us - kept_us) seen_.pop_front();
}

std::vector<SeenReadings::Seen> SeenReadings::after(TimeUs time_us) const {
  const auto from = std::upper_bound(seen_.begin(), seen_.end(), time_us,
                                     [](TimeUs t, const Seen& seen) { return t < seen.time_us; });
  return {from, seen_.end()};
}

std::optional<StoredCalibration> undo_of(const std::vector<StoredCalibration>& rows,
                                         const std::string& probe) {
  const auto changes = [&](const StoredCalibration& row) {
    return row.probe == probe &&
           (row.kind == Kind::correction || row.kind == Kind::none || row.kind == Kind::again);
  };
  const auto newest = std::find_if(rows.rbegin(), rows.rend(), changes);
  if (newest == rows.rend()) return std::nullopt;
  const std::vector<StoredCalibration> before(rows.begin(), newest.base() - 1);
  const auto held = held_after(before, probe).correction;
  StoredCalibration undo;
  undo.probe = probe;
  undo.kind = held ? Kind::again : Kind::none;
  if (held) undo.again = held->number;
  return undo;
}

}  // namespace nestcup::daemon
