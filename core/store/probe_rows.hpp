// Rows of the table probe and what readings call them. Internal to the room.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <vector>

#include "core/store/database.hpp"
#include "core/store/store.hpp"

namespace nestcup {

struct ProbeRow {
  std::int64_t id = 0;
  StoredProbe probe;
};

/// All rows in the order in which they were made.
[[nodiscard]] Result<std::vector<ProbeRow>> probe_rows(const Database& database);

/// Reading::probe for each row. With `registered` rows, older rows of the same name (settings have
/// changed since) count as the registered one, and rows of other names are left out; without,
/// every row counts by its place in probe_rows.
[[nodiscard]] Result<std::map<std::int64_t, std::uint16_t>> probe_index(
    const Database& database, const std::optional<std::vector<std::int64_t>>& registered);

/// A reading from the columns time_us, probe, temperature_degC, raw.
[[nodiscard]] Reading reading_of(const Statement& row, std::uint16_t probe);

}  // namespace nestcup
