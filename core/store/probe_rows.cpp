#include "core/store/probe_rows.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "core/store/store_inner.hpp"

namespace nestcup {

namespace {

/// The row of exactly this probe; a new one where there is none.
Result<std::int64_t> row_of(const Database& database, const StoredProbe& probe) {
  auto insert = database.prepare(
      "INSERT INTO probe (name, role, raw_unit, settings_json) VALUES (?, ?, ?, ?) "
      "ON CONFLICT DO NOTHING");
  if (!insert) return insert.error();
  auto find = database.prepare(
      "SELECT id FROM probe WHERE name = ? AND role = ? AND raw_unit = ? AND settings_json = ?");
  if (!find) return find.error();
  for (Statement* statement : {&*insert, &*find}) {
    statement->bind(1, probe.name).bind(2, role_name(probe.role));
    statement->bind(3, probe.raw_unit).bind(4, probe.settings_json);
  }
  if (auto done = insert->run(); !done) return done.error();
  const auto row = find->step();
  if (!row) return row.error();
  return find->whole(0);
}

}  // namespace

Result<std::vector<ProbeRow>> probe_rows(const Database& database) {
  auto statement =
      database.prepare("SELECT id, name, role, raw_unit, settings_json FROM probe ORDER BY id");
  if (!statement) return statement.error();
  std::vector<ProbeRow> rows;
  for (auto row = statement->step();; row = statement->step()) {
    if (!row) return row.error();
    if (!*row) return rows;
    const auto role = role_from_name(statement->text(2));
    if (!role) {
      return Error{Fault::bad_data,
                   fmt::format("{}: probe \"{}\" has the unknown role \"{}\"", database.path(),
                               statement->text(1), statement->text(2))};
    }
    rows.push_back(
        {statement->whole(0), {statement->text(1), *role, statement->text(3), statement->text(4)}});
  }
}

Result<std::map<std::int64_t, std::uint16_t>> probe_index(
    const Database& database, const std::optional<std::vector<std::int64_t>>& registered) {
  const auto rows = probe_rows(database);
  if (!rows) return rows.error();
  std::map<std::int64_t, std::uint16_t> index;
  std::map<std::string, std::uint16_t> by_name;
  for (std::size_t place = 0; place < rows->size(); ++place) {
    const ProbeRow& row = rows->at(place);
    if (!registered) {
      index[row.id] = static_cast<std::uint16_t>(place);
      continue;
    }
    const auto found = std::find(registered->begin(), registered->end(), row.id);
    if (found == registered->end()) continue;
    by_name[row.probe.name] = static_cast<std::uint16_t>(found - registered->begin());
  }
  if (!registered) return index;
  for (const ProbeRow& row : *rows) {
    const auto same_name = by_name.find(row.probe.name);
    if (same_name != by_name.end()) index[row.id] = same_name->second;
  }
  return index;
}

Result<std::vector<std::int64_t>> Store::register_probes(std::span<const StoredProbe> probes) {
  const auto database = inner_->writable();
  if (!database) return database.error();
  std::vector<std::int64_t> rows;
  const auto done = (*database)->in_transaction([&]() -> Result<void> {
    for (const StoredProbe& probe : probes) {
      const auto row = row_of(**database, probe);
      if (!row) return row.error();
      rows.push_back(*row);
    }
    return {};
  });
  if (!done) return done.error();
  inner_->registered = rows;
  return rows;
}

Result<std::vector<StoredProbe>> Store::probes() const {
  const auto database = inner_->database();
  if (!database) return database.error();
  const auto rows = probe_rows(**database);
  if (!rows) return rows.error();
  std::vector<StoredProbe> found;
  for (const ProbeRow& row : *rows) found.push_back(row.probe);
  return found;
}

}  // namespace nestcup
