#include "core/record/stored_run.hpp"

#include <fmt/format.h>

#include <algorithm>

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

}  // namespace

Result<RunReadings> readings_of(const Store& store, const StoredRun& run) {
  const auto roles = record_roles(Json::parse(run.record_json));
  if (!roles) {
    return Error{Fault::bad_data, fmt::format("{}: run {}: its record names a probe with an "
                                              "unknown role",
                                              store.path(), run.number)};
  }
  const auto probes = store.probes();
  if (!probes) return probes.error();
  auto readings = store.readings(run.first_us, run.last_us);
  if (!readings) return readings.error();
  RunReadings out{*roles, {}};
  for (Reading reading : *readings) {
    const auto column = std::find(roles->begin(), roles->end(), (*probes)[reading.probe].role);
    if (column == roles->end()) continue;
    reading.probe = static_cast<std::uint16_t>(column - roles->begin());
    out.readings.push_back(reading);
  }
  return out;
}

Result<std::string> export_text(const Store& store, const StoredRun& run) {
  const auto readings = readings_of(store, run);
  if (!readings) return readings.error();
  const Json record = Json::parse(run.record_json);
  const auto sheet = kept_sheet(store, record);
  if (!sheet) return sheet.error();
  return export_comment(record, *sheet ? (*sheet)->text : "") +
         trace_text(readings->readings, readings->roles, raw_units_of(record.at("probes")),
                    run.first_us);
}

Result<std::optional<ReplayedRun>> analysed_again(const Store& store, const StoredRun& run,
                                                  const std::optional<Sheet>& sheet) {
  const auto text = export_text(store, run);
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
