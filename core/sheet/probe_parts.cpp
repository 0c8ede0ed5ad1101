// A [[probe]] of a bench file.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "core/sheet/bench_parts.hpp"
#include "core/sheet/channel_parts.hpp"
#include "core/sheet/transducer_parts.hpp"

namespace nestcup {

namespace {

const std::array<std::string, 4> role_names{"cup", "added", "room", "other"};

/// Whether a probe's name can stand in the header of a trace ("<name>_degC").
bool is_plain_name(std::string_view name) {
  return !name.empty() && std::all_of(name.begin(), name.end(), [](char c) {
    const bool is_letter = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
    const bool is_beyond_ascii = static_cast<unsigned char>(c) >= 0x80;
    return is_letter || is_beyond_ascii || (c >= '0' && c <= '9') || c == '-' || c == '_';
  });
}

/// A probe called "cup" watches the cup, and so on; any other name needs its role said.
void read_role(TomlSection& section, ProbeSettings& probe) {
  const auto from_name = role_from_name(probe.name);
  if (from_name) probe.role = *from_name;
  const auto chosen =
      from_name ? section.choice("role", role_names) : section.required_choice("role", role_names);
  if (chosen) probe.role = *role_from_name(role_names[*chosen]);
}

void read_range(TomlSection& section, ProbeSettings& probe) {
  probe.lowest_degC = section.number("min_degC", any_temperature_degC).value_or(probe.lowest_degC);
  probe.highest_degC =
      section.number("max_degC", any_temperature_degC).value_or(probe.highest_degC);
  if (probe.lowest_degC >= probe.highest_degC) {
    section.problem(section.has("min_degC") ? "min_degC" : "max_degC",
                    fmt::format("leaves nothing between min_degC = {} and max_degC = {}, expected "
                                "min_degC to be the lower",
                                probe.lowest_degC, probe.highest_degC));
  }
}

}  // namespace

ProbeSettings read_probe(TomlSection& section, const std::vector<PortSettings>& ports) {
  ProbeSettings probe;
  probe.name = section.required_text("name", "the probe's name, such as \"cup\"");
  if (!probe.name.empty() && !is_plain_name(probe.name)) {
    section.problem("name", fmt::format("is \"{}\", expected letters, digits, - and _ only: it "
                                        "heads a column of the exported traces",
                                        probe.name));
  }
  read_role(section, probe);
  probe.port = section.required_text("port", "the name of a [[port]]");
  const auto port = std::find_if(ports.begin(), ports.end(), [&](const PortSettings& candidate) {
    return candidate.name == probe.port;
  });
  const PortSettings any_port;
  read_measurement(section, port == ports.end() ? any_port : *port, probe);
  read_range(section, probe);
  probe.tolerance_K = section.number("tolerance_K", {0.0, 20.0, true});
  section.refuse_other_keys();
  return probe;
}

}  // namespace nestcup
