// What only shows when all ports and probes of a bench file are known.
#include <fmt/format.h>

#include <algorithm>

#include "core/base/nearest.hpp"
#include "core/sheet/bench_parts.hpp"
#include "core/sheet/channel_parts.hpp"

namespace nestcup {

namespace {

/// Notes every section that has the same `key` as one before it.
void refuse_twice(std::span<TomlSection> sections, std::string_view key,
                  const std::vector<std::string>& values) {
  for (std::size_t i = 0; i < values.size(); ++i) {
    if (values[i].empty()) continue;
    const auto here = values.begin() + static_cast<std::ptrdiff_t>(i);
    if (std::find(values.begin(), here, values[i]) == here) continue;
    sections[i].problem(key,
                        fmt::format("\"{}\" is there twice, expected each only once", values[i]));
  }
}

const PortSettings* find_port(const BenchFile& bench, const std::string& name) {
  const auto found = std::find_if(bench.ports.begin(), bench.ports.end(),
                                  [&](const PortSettings& port) { return port.name == name; });
  return found == bench.ports.end() ? nullptr : &*found;
}

void check_port_of(TomlSection& section, const ProbeSettings& probe, const BenchFile& bench) {
  if (probe.port.empty() || find_port(bench, probe.port) != nullptr) return;
  std::vector<std::string> names;
  for (const PortSettings& port : bench.ports) names.push_back(port.name);
  const auto meant = nearest(probe.port, names);
  section.problem("port", fmt::format("\"{}\" is no [[port]] of this file, expected {}{}",
                                      probe.port, names.empty() ? "one to be added" : listed(names),
                                      meant ? fmt::format("; did you mean \"{}\"?", *meant) : ""));
}

/// A value of one port, and who reads it.
struct Reader {
  std::string port;
  std::string place;
  std::size_t probe = 0;
};

/// Every probe whose place is known. A cold junction may be shared by several thermocouples.
std::vector<Reader> readers_of(const BenchFile& bench) {
  std::vector<Reader> readers;
  for (std::size_t i = 0; i < bench.probes.size(); ++i) {
    const ProbeSettings& probe = bench.probes[i];
    if (std::string place = place_text(probe.channel); !place.empty()) {
      readers.push_back({probe.port, std::move(place), i});
    }
  }
  return readers;
}

/// Two probes of one value would be one probe with two names.
void refuse_shared_places(std::span<TomlSection> sections, const BenchFile& bench) {
  const std::vector<Reader> readers = readers_of(bench);
  for (auto reader = readers.begin(); reader != readers.end(); ++reader) {
    for (auto before = readers.begin(); before != reader; ++before) {
      if (reader->port != before->port || reader->place != before->place) continue;
      const ChannelSettings& channel = bench.probes[reader->probe].channel;
      sections[reader->probe].problem(
          channel.registers        ? "register"
          : !channel.query.empty() ? "query"
          : channel.key            ? "key"
                                   : "column",
          fmt::format("{} of port {} is read by probe \"{}\" as well, expected one probe for each "
                      "value",
                      reader->place, reader->port, bench.probes[before->probe].name));
    }
  }
}

void check_number(TomlSection& file, std::size_t probes) {
  if (probes <= most_probes) return;
  file.problem(
      fmt::format("{} [[probe]] are there, expected {} at most; run a bench for each part "
                  "of them",
                  probes, most_probes));
}

void check_roles(TomlSection& file, std::span<TomlSection> sections, const BenchFile& bench) {
  std::vector<ProbeRole> taken;
  for (std::size_t i = 0; i < bench.probes.size(); ++i) {
    const ProbeRole role = bench.probes[i].role;
    if (role == ProbeRole::other) continue;
    if (std::find(taken.begin(), taken.end(), role) != taken.end()) {
      sections[i].problem("role", fmt::format("\"{}\" is there twice, expected one probe for each "
                                              "of cup, added and room; further ones are \"other\"",
                                              role_name(role)));
    }
    taken.push_back(role);
  }
  if (std::find(taken.begin(), taken.end(), ProbeRole::cup) == taken.end()) {
    file.problem("no [[probe]] watches the cup, expected one with role = \"cup\"");
  }
}

}  // namespace

void check_ports(std::span<TomlSection> sections, const std::vector<PortSettings>& ports) {
  std::vector<std::string> names;
  std::vector<std::string> devices;
  for (const PortSettings& port : ports) {
    names.push_back(port.name);
    devices.push_back(port.device);
  }
  refuse_twice(sections, "name", names);
  refuse_twice(sections, "device", devices);
}

void check_probes(TomlSection& file, std::span<TomlSection> sections, const BenchFile& bench) {
  std::vector<std::string> names;
  for (std::size_t i = 0; i < bench.probes.size(); ++i) {
    names.push_back(bench.probes[i].name);
    check_port_of(sections[i], bench.probes[i], bench);
  }
  refuse_twice(sections, "name", names);
  refuse_shared_places(sections, bench);
  check_roles(file, sections, bench);
  check_number(file, bench.probes.size());
}

}  // namespace nestcup
