#include "daemon/store/bench_facts.hpp"

#include "core/sheet/transducer_text.hpp"

#include "core/record/calibration_json.hpp"

namespace nestcup::daemon {
namespace {

const PortSettings* port_named(const BenchFile& file, const std::string& name) {
  for (const PortSettings& port : file.ports) {
    if (port.name == name) return &port;
  }
  return nullptr;
}

Json probe_facts(const BenchFile& file, const ProbeSettings& probe, const HeldCalibration& held) {
  ProbeFacts facts;
  facts.name = probe.name;
  facts.role = probe.role;
  facts.port = probe.port;
  if (const PortSettings* port = port_named(file, probe.port)) facts.protocol = port->protocol;
  facts.transducer = transducer_text(probe);
  facts.raw_unit = unit_name(probe.channel.unit);
  facts.tolerance_K = probe.tolerance_K;
  if (held.correction) {
    facts.calibration = calibration_json(*held.correction, file.calibration_max_age_days);
  }
  if (held.time_constant) {
    const Uncertain& lag = held.time_constant->value;
    facts.time_constant_s = {{"value", lag.value}, {"u", lag.u}};
  }
  return probe_json(facts);
}

}  // namespace

std::vector<StoredProbe> stored_probes(const BenchFile& file,
                                       const std::vector<HeldCalibration>& held) {
  std::vector<StoredProbe> probes;
  for (std::size_t i = 0; i < file.probes.size(); ++i) {
    const ProbeSettings& probe = file.probes[i];
    probes.push_back({probe.name, probe.role, std::string(unit_name(probe.channel.unit)),
                      probe_facts(file, probe, held.at(i)).dump()});
  }
  return probes;
}

Json record_probes(const BenchFile& file, const std::vector<HeldCalibration>& held) {
  Json list = Json::array();
  for (std::size_t i = 0; i < run_probes(file); ++i) {
    list.push_back(probe_facts(file, file.probes[i], held.at(i)));
  }
  return list;
}

std::vector<HeldCalibration> held_on_bench(const BenchFile& file,
                                           const std::vector<StoredCalibration>& rows) {
  std::vector<HeldCalibration> held;
  for (const ProbeSettings& probe : file.probes) held.push_back(held_after(rows, probe.name));
  return held;
}

}  // namespace nestcup::daemon
