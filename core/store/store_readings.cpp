// Readings and events of a store.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/store/probe_rows.hpp"
#include "core/store/store_inner.hpp"

namespace nestcup {

namespace {

Result<void> check_reading(const Reading& reading, std::size_t probe_count,
                           const std::string& path) {
  std::string_view what;
  if (reading.probe >= probe_count) what = "is of no registered probe";
  if (!std::isfinite(reading.temperature_degC) || !std::isfinite(reading.raw)) {
    what = "is not a finite number";
  }
  if (what.empty()) return {};
  return Error{Fault::bad_data,
               fmt::format("{}: the reading of probe {} at {} us {}; nothing of this call was "
                           "stored",
                           path, reading.probe, reading.time_us, what)};
}

/// So many readings go in by one run of a statement; each run costs as much as some readings do.
constexpr std::size_t readings_at_once = 32;
constexpr int columns = 4;

std::string insert_text(std::size_t count) {
  std::string text = "INSERT INTO reading (time_us, probe, temperature_degC, raw) VALUES ";
  for (std::size_t i = 0; i < count; ++i) text += i == 0 ? "(?, ?, ?, ?)" : ", (?, ?, ?, ?)";
  return text + " ON CONFLICT DO NOTHING";
}

/// Binds a reading to a row of the statement's values.
void bind_reading(Statement& statement, std::size_t row, const Reading& reading,
                  std::int64_t probe_row) {
  const int first = static_cast<int>(row) * columns;
  statement.bind(first + 1, reading.time_us).bind(first + 2, probe_row);
  statement.bind(first + 3, reading.temperature_degC);
  if (reading.raw == reading.temperature_degC) {
    statement.bind_null(first + 4);
  } else {
    statement.bind(first + 4, reading.raw);
  }
}

Result<void> insert_event(Statement& statement, const StoredEvent& event) {
  return statement.bind(1, event.time_us).bind(2, event.kind).bind(3, event.detail).run();
}

}  // namespace

Reading reading_of(const Statement& row, std::uint16_t probe) {
  Reading reading;
  reading.probe = probe;
  reading.time_us = row.whole(0);
  reading.temperature_degC = row.number(2);
  reading.raw = row.is_null(3) ? reading.temperature_degC : row.number(3);
  return reading;
}

Result<Store::Inner::Adding*> Store::Inner::adding_on(const Database& database) {
  if (adding) return &*adding;
  auto reading = database.prepare(insert_text(1));
  if (!reading) return reading.error();
  auto readings = database.prepare(insert_text(readings_at_once));
  if (!readings) return readings.error();
  auto event = database.prepare(
      "INSERT INTO event (time_us, kind, detail) VALUES (?, ?, ?) ON CONFLICT DO NOTHING");
  if (!event) return event.error();
  auto total = database.prepare("UPDATE reading_total SET rows = rows + ? WHERE id = 1");
  if (!total) return total.error();
  adding = Adding{std::move(reading).value(), std::move(readings).value(), std::move(event).value(),
                  std::move(total).value()};
  return &*adding;
}

Result<std::int64_t> Store::Inner::insert(const Database& database, Adding& statements,
                                          std::span<const Reading> readings) {
  std::int64_t added = 0;
  while (!readings.empty()) {
    const bool many = readings.size() >= readings_at_once;
    Statement& statement = many ? statements.readings : statements.reading;
    const auto part = readings.first(many ? readings_at_once : 1);
    for (std::size_t i = 0; i < part.size(); ++i) {
      bind_reading(statement, i, part[i], registered->at(part[i].probe));
    }
    if (auto done = statement.run(); !done) return done.error();
    added += database.changed();
    readings = readings.subspan(part.size());
  }
  return added;
}

Result<void> Store::add(std::span<const Reading> readings, std::span<const StoredEvent> events) {
  const std::size_t probe_count = inner_->registered ? inner_->registered->size() : 0;
  for (const Reading& reading : readings) {
    if (auto sound = check_reading(reading, probe_count, inner_->path); !sound) return sound;
  }
  const auto database = inner_->writable();
  if (!database) return database.error();
  const auto adding = inner_->adding_on(**database);
  if (!adding) return adding.error();
  return (*database)->in_transaction([&]() -> Result<void> {
    const auto added = inner_->insert(**database, **adding, readings);
    if (!added) return added.error();
    for (const StoredEvent& event : events) {
      if (auto done = insert_event((*adding)->event, event); !done) return done;
    }
    if (*added == 0) return {};
    return (*adding)->total.bind(1, *added).run();
  });
}

Result<std::vector<Reading>> Store::readings(TimeUs from_us, TimeUs to_us,
                                             std::size_t probes) const {
  const auto database = inner_->database();
  if (!database) return database.error();
  auto index = probe_index(**database, inner_->registered);
  if (!index) return index.error();
  std::erase_if(*index, [&](const auto& row) { return row.second >= probes; });
  auto statement = (*database)->prepare(
      "SELECT time_us, probe, temperature_degC, raw FROM reading "
      "WHERE time_us BETWEEN ? AND ? ORDER BY time_us, probe");
  if (!statement) return statement.error();
  statement->bind(1, from_us).bind(2, to_us);
  std::vector<Reading> found;
  for (auto row = statement->step();; row = statement->step()) {
    if (!row) return row.error();
    if (!*row) break;
    const auto probe = index->find(statement->whole(1));
    if (probe != index->end()) found.push_back(reading_of(*statement, probe->second));
  }
  // Rows of probes follow the order in which they were first seen, not that of the bench file.
  std::stable_sort(found.begin(), found.end(), [](const Reading& a, const Reading& b) {
    return a.time_us != b.time_us ? a.time_us < b.time_us : a.probe < b.probe;
  });
  return found;
}

Result<std::vector<StoredEvent>> Store::events(TimeUs from_us, TimeUs to_us) const {
  auto statement = inner_->prepare(
      "SELECT time_us, kind, detail FROM event WHERE time_us BETWEEN ? AND ? "
      "ORDER BY time_us, kind, detail");
  if (!statement) return statement.error();
  statement->bind(1, from_us).bind(2, to_us);
  std::vector<StoredEvent> found;
  for (auto row = statement->step();; row = statement->step()) {
    if (!row) return row.error();
    if (!*row) return found;
    found.push_back({statement->whole(0), statement->text(1), statement->text(2)});
  }
}

Result<std::optional<StoredEvent>> Store::last_event(const std::string& kind) const {
  auto statement = inner_->prepare(
      "SELECT time_us, kind, detail FROM event WHERE kind = ? "
      "ORDER BY time_us DESC, detail DESC LIMIT 1");
  if (!statement) return statement.error();
  const auto row = statement->bind(1, kind).step();
  if (!row) return row.error();
  if (!*row) return std::optional<StoredEvent>{};
  return std::optional<StoredEvent>{{statement->whole(0), statement->text(1), statement->text(2)}};
}

Result<std::optional<TimeUs>> Store::last_reading_us() const {
  auto statement = inner_->prepare("SELECT max(time_us) FROM reading");
  if (!statement) return statement.error();
  const auto row = statement->step();
  if (!row) return row.error();
  if (!*row || statement->is_null(0)) return std::optional<TimeUs>{};
  return std::optional<TimeUs>{statement->whole(0)};
}

Result<std::int64_t> Store::reading_count() const {
  const auto database = inner_->database();
  if (!database) return database.error();
  return (*database)->whole_answer("SELECT rows FROM reading_total");
}

Result<RoledReadings> Store::readings_about(const StoredRun& run) const {
  const auto its_probes = probes();
  if (!its_probes) return its_probes.error();
  auto taken = readings(run.first_us, run.last_us);
  if (!taken) return taken.error();
  RoledReadings about;
  for (const StoredProbe& probe : *its_probes) about.roles.push_back(probe.role);
  std::erase_if(*taken, [&](const Reading& reading) {
    return about.roles[reading.probe] == ProbeRole::other;
  });
  about.readings = std::move(*taken);
  return about;
}

}  // namespace nestcup
