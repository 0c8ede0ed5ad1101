#include "core/notebook/import_files.hpp"

#include <algorithm>
#include <stdexcept>

#include "core/record/trace_file.hpp"

namespace nestcup {
namespace {

std::string bytes_of(const KeptRun& run, const std::string& name) {
  const auto file = run.file(name);
  if (!file) throw std::runtime_error(run.where + '/' + name + ": is not there any more");
  return file->bytes;
}

/// Probes as a store knows them, of a record.
Result<std::vector<StoredProbe>> probes_of(const Json& record) {
  std::vector<StoredProbe> probes;
  for (const Json& probe : record.at("probes")) {
    const auto role = role_from_name(probe.at("role").get<std::string>());
    if (!role) return Error{Fault::bad_data, "its record names a probe with an unknown role"};
    const auto unit = probe.find("raw_unit");
    const bool known = unit != probe.end() && unit->is_string();
    probes.push_back(
        {probe.at("name"), *role, known ? unit->get<std::string>() : "degC", probe.dump()});
  }
  return probes;
}

}  // namespace

Result<ImportFiles> import_files(const ImportCandidate& candidate) {
  const auto run = candidate.place->read(*candidate.entry);
  if (!run) return run.error();
  ImportFiles files;
  const Proof& proof = run->proof;
  for (const ProofRevision& revision : proof.revisions) {
    files.records.push_back(Json::parse(bytes_of(*run, revision.file)).dump());
  }
  for (const ProofSheet& sheet : proof.sheets) {
    files.sheets.push_back(sheet.sheet);
    files.sheets.back().text = bytes_of(*run, sheet.file);
  }
  auto probes = probes_of(Json::parse(files.records.front()));
  if (!probes) return probes.error();
  files.probes = std::move(*probes);
  const auto trace = parse_trace(bytes_of(*run, "readings.csv"), candidate.entry->where);
  if (!trace) return trace.error();
  for (Reading reading : trace->readings) {
    const ProbeRole role = trace->roles[reading.probe];
    const auto probe = std::find_if(files.probes.begin(), files.probes.end(),
                                    [&](const StoredProbe& one) { return one.role == role; });
    if (probe == files.probes.end()) {
      return Error{Fault::bad_data, "its record does not name the probe of each column"};
    }
    reading.probe = static_cast<std::uint16_t>(probe - files.probes.begin());
    reading.time_us += proof.first_us;
    files.readings.push_back(reading);
  }
  return files;
}

}  // namespace nestcup
