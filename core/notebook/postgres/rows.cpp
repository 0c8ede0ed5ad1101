#include "core/notebook/postgres/rows.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>

#include "core/record/trace_file.hpp"

namespace nestcup {
namespace {

/// Appends a number as its fewest digits that read back as the same.
template <class Number>
void append(std::string& array, Number value) {
  char digits[32];
  const auto end = std::to_chars(digits, digits + sizeof digits, value).ptr;
  if (array.size() > 1) array += ',';
  array.append(digits, end);
}

Result<std::string> file_of(const RunEntry& entry, const std::string& name) {
  const std::string* const bytes = entry.bytes_of(name);
  if (bytes != nullptr) return *bytes;
  return Error{Fault::bad_data, fmt::format("run {}: has no {}", entry.number, name)};
}

std::vector<TraceRow> trace_rows(const Trace& trace, const Json& probes) {
  std::vector<TraceRow> rows(trace.roles.size());
  for (std::size_t probe = 0; probe < rows.size(); ++probe) {
    TraceRow& row = rows[probe];
    row.probe = static_cast<int>(probe);
    row.role = role_name(trace.roles[probe]);
    row.raw_unit = trace.raw_units[probe].value_or("");
    row.time_us = row.temperature_degC = row.raw = "{";
    for (const Json& one : probes) {
      if (one.at("role") == row.role) row.name = one.at("name");
    }
  }
  for (const Reading& reading : trace.readings) {
    TraceRow& row = rows[reading.probe];
    append(row.time_us, reading.time_us);
    append(row.temperature_degC, reading.temperature_degC);
    if (!row.raw_unit.empty()) append(row.raw, reading.raw);
  }
  for (TraceRow& row : rows) {
    for (std::string* array : {&row.time_us, &row.temperature_degC, &row.raw}) *array += '}';
    if (row.raw_unit.empty()) row.raw.clear();
  }
  return rows;
}

std::string sheet_named(const Json& record, const std::vector<StoredSheet>& sheets) {
  const Json& sheet = record.at("sheet");
  if (sheet.is_null()) return {};
  const std::string digest = sheet.at("sha256");
  const bool kept = std::any_of(sheets.begin(), sheets.end(),
                                [&](const StoredSheet& one) { return one.sha256 == digest; });
  return kept ? digest : "";
}

Result<void> add_sheets(const RunEntry& entry, RunRows& rows) {
  for (const ProofSheet& kept : rows.proof.sheets) {
    auto text = file_of(entry, kept.file);
    if (!text) return text.error();
    rows.sheets.push_back(kept.sheet);
    rows.sheets.back().text = std::move(*text);
  }
  // Benches that bring the same sheets take them in the same order and do not block each other.
  std::sort(rows.sheets.begin(), rows.sheets.end(),
            [](const StoredSheet& a, const StoredSheet& b) { return a.sha256 < b.sha256; });
  return {};
}

Result<RunRows> read_rows(const RunEntry& entry) {
  RunRows rows;
  const auto proof_bytes = file_of(entry, proof_name);
  if (!proof_bytes) return proof_bytes.error();
  auto proof = parse_proof(*proof_bytes, fmt::format("run {}", entry.number));
  if (!proof) return proof.error();
  rows.proof = std::move(*proof);
  rows.bench = entry.bench;
  rows.folder = entry.folder;
  if (auto added = add_sheets(entry, rows); !added) return added.error();
  for (const ProofRevision& revision : rows.proof.revisions) {
    const auto bytes = file_of(entry, revision.file);
    if (!bytes) return bytes.error();
    const Json record = Json::parse(*bytes);
    rows.revisions.push_back({revision, record.dump(), sheet_named(record, rows.sheets)});
    const Json& started = record.at("started_at");
    if (revision.revision == 1 && started.is_string()) rows.started_at = started;
  }
  const auto csv = file_of(entry, "readings.csv");
  if (!csv) return csv.error();
  const auto trace = parse_trace(*csv, "readings.csv");
  if (!trace) return trace.error();
  rows.traces = trace_rows(*trace, entry.record.at("probes"));
  return rows;
}

}  // namespace

Result<RunRows> rows_of(const RunEntry& entry) {
  try {
    return read_rows(entry);
  } catch (const Json::exception& problem) {
    return Error{Fault::bad_data, fmt::format("run {}: its record cannot be read: {}", entry.number,
                                              problem.what())};
  }
}

}  // namespace nestcup
