#include "core/record/stored_run.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <span>

#include "core/base/digest.hpp"
#include "core/record/export_facts.hpp"
#include "core/record/trial_of_run.hpp"

namespace nestcup {
namespace {

std::optional<std::vector<ProbeRole>> record_roles(const Json& record) {
  std::vector<ProbeRole> roles;
  for (const Json& probe : record.at("probes")) {
    const auto role = role_from_name(probe.at("role").get<std::string>());
    if (!role) return std::nullopt;
    roles.push_back(*role);
  }
  return roles;
}

/// The readings that the record speaks of. A run begins and ends with a reading of the cup; others
/// of those two moments may lie in the store beside it that were no part of the run.
/// @param all  every reading from the run's first moment to its last
std::vector<Reading> those_of_record(std::vector<Reading> all, const Json& record,
                                     const RoledReadings& shape, const StoredRun& run) {
  const Json& readings = record.at("readings");
  const auto count = readings.at("count").get<std::size_t>();
  if (all.size() <= count) return all;
  const std::size_t more = all.size() - count;
  const RawUnits units = raw_units_of(record.at("probes"));
  for (std::size_t front = 0; front <= more; ++front) {
    const std::size_t end = front + count;
    if (front > 0 && all[front - 1].time_us != run.first_us) break;
    if (end < all.size() && all[end].time_us != run.last_us) continue;
    const std::span<const Reading> part(all.data() + front, count);
    if (readings.at("sha256") == sha256_hex(trace_text(part, shape.roles, units, run.first_us))) {
      return {part.begin(), part.end()};
    }
  }
  return all;
}

Result<RoledReadings> readings_of(const RunBook& book, const StoredRun& run, const Json& record) {
  const auto roles = record_roles(record);
  if (!roles) {
    return Error{Fault::bad_data, fmt::format("{}: run {}: its record names a probe with an "
                                              "unknown role",
                                              book.name(), run.number)};
  }
  const auto about = book.readings_about(run);
  if (!about) return about.error();
  RoledReadings out{*roles, {}};
  for (Reading reading : about->readings) {
    const auto column = std::find(roles->begin(), roles->end(), about->roles[reading.probe]);
    if (column == roles->end()) continue;
    reading.probe = static_cast<std::uint16_t>(column - roles->begin());
    out.readings.push_back(reading);
  }
  out.readings = those_of_record(std::move(out.readings), record, out, run);
  return out;
}

}  // namespace

Error unreadable_record(const std::string& book, int number, const Json::exception& problem) {
  return {Fault::bad_data,
          fmt::format("{}: run {}: its record cannot be read: {}", book, number, problem.what())};
}

Result<RoledReadings> readings_of(const RunBook& book, const StoredRun& run) {
  try {
    return readings_of(book, run, Json::parse(run.record_json));
  } catch (const Json::exception& problem) {
    return unreadable_record(book.name(), run.number, problem);
  }
}

Result<std::string> export_text(const RunBook& book, const StoredRun& run) {
  const auto readings = readings_of(book, run);
  if (!readings) return readings.error();
  try {
    const Json record = Json::parse(run.record_json);
    const auto sheet = kept_sheet(book, record);
    if (!sheet) return sheet.error();
    return export_comment(record, *sheet ? (*sheet)->text : "") +
           trace_text(readings->readings, readings->roles, raw_units_of(record.at("probes")),
                      run.first_us);
  } catch (const Json::exception& problem) {
    return unreadable_record(book.name(), run.number, problem);
  }
}

Result<std::optional<ReplayedRun>> analysed_again(const RunBook& book, const StoredRun& run,
                                                  const std::optional<Sheet>& sheet) {
  const auto text = export_text(book, run);
  if (!text) return text.error();
  const auto trace = parse_trace(*text, "run " + std::to_string(run.number));
  if (!trace) return trace.error();
  ReplayOptions options;
  options.sheet = sheet;
  auto runs = replay_trace(*trace, options, [&] { return run.id; });
  if (runs.empty()) return std::optional<ReplayedRun>();
  return std::optional<ReplayedRun>(std::move(runs.front()));
}

}  // namespace nestcup
