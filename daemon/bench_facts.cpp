#include "daemon/bench_facts.hpp"

#include "core/sheet/transducer_text.hpp"

namespace nestcup::daemon {
namespace {

const PortSettings* port_named(const BenchFile& file, const std::string& name) {
  for (const PortSettings& port : file.ports) {
    if (port.name == name) return &port;
  }
  return nullptr;
}

Json probe_facts(const BenchFile& file, const ProbeSettings& probe) {
  ProbeFacts facts;
  facts.name = probe.name;
  facts.role = probe.role;
  facts.port = probe.port;
  if (const PortSettings* port = port_named(file, probe.port)) facts.protocol = port->protocol;
  facts.transducer = transducer_text(probe);
  facts.tolerance_K = probe.tolerance_K;
  return probe_json(facts);
}

}  // namespace

std::vector<StoredProbe> stored_probes(const BenchFile& file) {
  std::vector<StoredProbe> probes;
  for (const ProbeSettings& probe : file.probes) {
    probes.push_back({probe.name, probe.role, std::string(unit_name(probe.channel.unit)),
                      probe_facts(file, probe).dump()});
  }
  return probes;
}

Json record_probes(const BenchFile& file) {
  Json list = Json::array();
  for (const ProbeSettings& probe : file.probes) list.push_back(probe_facts(file, probe));
  return list;
}

}  // namespace nestcup::daemon
