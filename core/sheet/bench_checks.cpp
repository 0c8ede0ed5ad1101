// What only shows when all ports and probes of a bench file are known.
#include <fmt/format.h>

#include <algorithm>

#include "core/base/nearest.hpp"
#include "core/sheet/bench_parts.hpp"

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

/// A text line's value is chosen by column or by key; other protocols have ways of their own.
void check_column_or_key(TomlSection& section, const ProbeSettings& probe, const BenchFile& bench) {
  const PortSettings* const port = find_port(bench, probe.port);
  if (port != nullptr && port->protocol != "text") return;
  const bool has_column = section.has("column");
  const bool has_key = section.has("key");
  if (!has_column && !has_key) {
    section.problem("column",
                    "is missing and so is key, expected one of them: column = 1 for the "
                    "first value of a line, or key = \"T1\" for T1=21.5");
  } else if (has_column && has_key) {
    section.problem("key", "is there beside column, expected only one of them");
  } else if (has_key && probe.key && port != nullptr &&
             probe.key->find(port->separator) != std::string::npos) {
    section.problem("key", fmt::format("\"{}\" holds the separator of its port, expected one word",
                                       *probe.key));
  }
}

/// Where a probe's value stands, to find two that stand in one place; empty where not known.
std::string place_text(const ProbeSettings& probe) {
  if (probe.column) return fmt::format("column {} of port {}", *probe.column, probe.port);
  if (probe.key) return fmt::format("{} of port {}", *probe.key, probe.port);
  return {};
}

void check_roles(TomlSection& file, std::span<TomlSection> sections, const BenchFile& bench) {
  std::vector<ProbeRole> taken;
  for (std::size_t i = 0; i < bench.probes.size(); ++i) {
    const ProbeRole role = bench.probes[i].role;
    if (std::find(taken.begin(), taken.end(), role) != taken.end()) {
      sections[i].problem("role", fmt::format("\"{}\" is there twice, expected one probe for each "
                                              "of cup, added and room",
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
  std::vector<std::string> places;
  for (std::size_t i = 0; i < bench.probes.size(); ++i) {
    const ProbeSettings& probe = bench.probes[i];
    names.push_back(probe.name);
    places.push_back(place_text(probe));
    check_port_of(sections[i], probe, bench);
    check_column_or_key(sections[i], probe, bench);
  }
  refuse_twice(sections, "name", names);
  for (std::size_t i = 0; i < places.size(); ++i) {
    for (std::size_t j = 0; j < i && !places[i].empty(); ++j) {
      if (places[i] != places[j]) continue;
      sections[i].problem(bench.probes[i].column ? "column" : "key",
                          fmt::format("{} is read by probe \"{}\" as well, expected one probe for "
                                      "each value",
                                      places[i], names[j]));
    }
  }
  check_roles(file, sections, bench);
}

}  // namespace nestcup
