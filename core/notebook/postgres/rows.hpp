// A revision of a run on its way into a database: the values of its rows.
#pragma once

#include <string>
#include <vector>

#include "core/notebook/proof.hpp"
#include "core/notebook/run_entry.hpp"

namespace nestcup {

/// A record with what was done and why.
struct RevisionRow {
  ProofRevision proof;
  std::string record;        ///< as the store keeps it
  std::string sheet_sha256;  ///< of the sheet it names, where that is among `sheets`; else empty
};

/// Readings of one probe.
struct TraceRow {
  int probe = 0;  ///< place among the record's probes
  std::string name;
  std::string role;
  std::string raw_unit;  ///< empty where the probe sends the temperature itself
  std::string time_us;   ///< as an array's text, "{0,500000}"; from the run's first reading
  std::string temperature_degC;
  std::string raw;  ///< empty where raw_unit is
};

/// Everything of a run up to a revision.
struct RunRows {
  Proof proof;
  std::string bench;
  std::string started_at;  ///< RFC 3339 of the run's first record; empty: not known
  std::string folder;
  std::vector<RevisionRow> revisions;
  std::vector<StoredSheet> sheets;  ///< by digest
  std::vector<TraceRow> traces;
};

/// @errors bad_data: a file of the entry that cannot be read
[[nodiscard]] Result<RunRows> rows_of(const RunEntry& entry);

/// An array as PostgreSQL reads it (documentation, section 8.15.2).
[[nodiscard]] std::string array_text(const std::vector<std::string>& elements);

}  // namespace nestcup
