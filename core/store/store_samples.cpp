// Readings of a store for a curve on a screen.
#include <algorithm>
#include <functional>
#include <set>

#include "core/store/probe_rows.hpp"
#include "core/store/store_inner.hpp"

namespace nestcup {

namespace {

using ProbeIndex = std::map<std::int64_t, std::uint16_t>;

constexpr const char* rows_from_sql =
    "SELECT time_us, probe, temperature_degC, raw FROM reading "
    "WHERE time_us BETWEEN ? AND ? ORDER BY time_us, probe LIMIT ?";

/// Rows of a slice that are looked at, for each probe, until all of them were seen.
constexpr std::size_t rows_per_probe = 4;

/// Steps through the rows and hands each to `take` until that says no.
Result<void> each_row(Statement& statement, const ProbeIndex& index,
                      const std::function<bool(const Reading&)>& take) {
  for (auto row = statement.step();; row = statement.step()) {
    if (!row) return row.error();
    if (!*row) return {};
    const auto probe = index.find(statement.whole(1));
    if (probe == index.end()) continue;
    if (!take(reading_of(statement, probe->second))) return {};
  }
}

std::size_t probes_in(const ProbeIndex& index) {
  std::set<std::uint16_t> probes;
  for (const auto& [row, probe] : index) probes.insert(probe);
  return std::max<std::size_t>(probes.size(), 1);
}

/// The first reading of each probe in a slice.
Result<void> add_first(const Database& database, const ProbeIndex& index, std::size_t probes,
                       TimeUs from_us, TimeUs to_us, std::vector<Reading>& to) {
  auto statement = database.prepare(rows_from_sql);
  if (!statement) return statement.error();
  statement->bind(1, from_us).bind(2, to_us);
  statement->bind(3, static_cast<std::int64_t>(rows_per_probe * probes));
  std::set<std::uint16_t> seen;
  return each_row(*statement, index, [&](const Reading& reading) {
    if (seen.insert(reading.probe).second) to.push_back(reading);
    return seen.size() < probes;
  });
}

/// By time, then probe: rows of probes follow the order in which they were first seen.
void sort_readings(std::vector<Reading>& readings) {
  std::stable_sort(readings.begin(), readings.end(), [](const Reading& a, const Reading& b) {
    return a.time_us != b.time_us ? a.time_us < b.time_us : a.probe < b.probe;
  });
}

/// The first readings of each slice. Slices begin at multiples of their length, so that a curve
/// does not flicker as it grows.
Result<std::vector<Reading>> first_of_slices(const Database& database, const ProbeIndex& index,
                                             TimeUs from_us, TimeUs to_us, std::size_t most) {
  const std::size_t probes = probes_in(index);
  const auto slices = static_cast<TimeUs>(std::max<std::size_t>(most / probes, 1));
  const TimeUs slice_us = (to_us - from_us) / slices + 1;
  std::vector<Reading> found;
  for (TimeUs at_us = from_us / slice_us * slice_us; at_us <= to_us; at_us += slice_us) {
    const auto added = add_first(database, index, probes, std::max(at_us, from_us),
                                 std::min(at_us + slice_us - 1, to_us), found);
    if (!added) return added.error();
  }
  return found;
}

}  // namespace

Result<SampledReadings> Store::sampled_readings(TimeUs from_us, TimeUs to_us,
                                                std::size_t most) const {
  const auto database = inner_->database();
  if (!database) return database.error();
  const auto index = probe_index(**database, inner_->registered);
  if (!index) return index.error();
  auto statement = (*database)->prepare(rows_from_sql);
  if (!statement) return statement.error();
  statement->bind(1, from_us).bind(2, to_us).bind(3, static_cast<std::int64_t>(most) + 1);
  SampledReadings found;
  const auto taken = each_row(*statement, *index, [&](const Reading& reading) {
    found.readings.push_back(reading);
    return true;
  });
  if (!taken) return taken.error();
  found.all = found.readings.size() <= most;
  if (!found.all) {
    auto sampled = first_of_slices(**database, *index, found.readings.front().time_us, to_us, most);
    if (!sampled) return sampled.error();
    found.readings = std::move(*sampled);
  }
  sort_readings(found.readings);
  return found;
}

}  // namespace nestcup
