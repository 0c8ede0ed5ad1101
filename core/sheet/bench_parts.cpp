#include "core/sheet/bench_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <filesystem>

namespace nestcup {

namespace {

/// Longest path that fits into the address of a Unix socket (unix(7): 108 bytes with the final 0).
constexpr std::size_t longest_socket_path = 107;

const std::array<std::string, 4> separator_names{"comma", "semicolon", "tab", "blank"};
constexpr std::array<char, 4> separators{',', ';', '\t', ' '};
const std::array<std::string, 2> decimal_names{"point", "comma"};
const std::array<std::string, 4> protocol_names{"text", "senml", "modbus-rtu", "scpi"};
const std::array<std::string, 3> role_names{"cup", "added", "room"};
const std::array<std::string, 3> unit_names{"degC", "degF", "K"};
const std::array<std::string, 3> notebook_kinds{"folder", "webdav", "postgres"};

/// Whether a probe's name can stand in the header of a trace ("<name>_degC").
bool is_plain_name(std::string_view name) {
  return !name.empty() && std::all_of(name.begin(), name.end(), [](char c) {
    const bool is_letter = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
    const bool is_beyond_ascii = static_cast<unsigned char>(c) >= 0x80;
    return is_letter || is_beyond_ascii || (c >= '0' && c <= '9') || c == '-' || c == '_';
  });
}

/// host:port with a port of 1 to 65535; an IPv6 host stands in square brackets.
bool is_address(std::string_view text) {
  const std::size_t colon = text.rfind(':');
  if (colon == std::string_view::npos || colon == 0) return false;
  const std::string_view host = text.substr(0, colon);
  const std::string_view port = text.substr(colon + 1);
  const bool bracketed = host.size() > 2 && host.front() == '[' && host.back() == ']';
  if (!bracketed && host.find_first_of(":[] /") != std::string_view::npos) return false;
  if (port.empty() || port.size() > 5 || port.front() == '0') return false;
  int number = 0;
  for (const char c : port) {
    if (c < '0' || c > '9') return false;
    number = number * 10 + (c - '0');
  }
  return number <= 65535;
}

void read_baud(TomlSection& section, PortSettings& port) {
  const bool allow_1200 = section.flag("allow_1200").value_or(false);
  port.baud = section.whole("baud", 1, 4'000'000).value_or(port.baud);
  if (port.baud == 1200 && !allow_1200) {
    section.problem("baud",
                    "is 1200, expected another rate: opening a port at 1200 Bd sends many boards "
                    "into their boot loader; if this device really talks at 1200 Bd, add "
                    "allow_1200 = true");
  }
}

void read_protocol(TomlSection& section, PortSettings& port) {
  const auto chosen = section.choice("protocol", protocol_names);
  if (!chosen) return;
  port.protocol = protocol_names[*chosen];
  if (port.protocol != "text") {
    section.problem("protocol", fmt::format("\"{}\" is known, but this version speaks \"text\" "
                                            "only; let the device send lines of text",
                                            port.protocol));
  }
}

void read_line_format(TomlSection& section, PortSettings& port) {
  if (const auto chosen = section.choice("separator", separator_names)) {
    port.separator = separators[*chosen];
  }
  if (section.choice("decimal", decimal_names) == 1U) {
    port.decimal = Decimal::comma;
    if (port.separator == ',') {
      section.problem("decimal",
                      "is \"comma\" and so is the separator, expected them to differ; add "
                      "separator = \"semicolon\", \"tab\" or \"blank\", as the device sends it");
    }
  }
  port.comment = section.text("comment").value_or(port.comment);
  port.request = section.text("request").value_or(port.request);
}

void read_unit(TomlSection& section, ProbeSettings& probe) {
  constexpr std::string_view only_temperatures =
      "this version reads temperatures in \"degC\", \"degF\" or \"K\"; let the device convert";
  if (section.has("transducer")) {
    section.problem("transducer", fmt::format("is not carried out yet: {}", only_temperatures));
    (void)section.table("transducer");
  }
  const auto unit = section.text("unit");
  if (!unit) return;
  const auto found = std::find(unit_names.begin(), unit_names.end(), *unit);
  if (found == unit_names.end()) {
    section.problem("unit", fmt::format("is \"{}\": {}", *unit, only_temperatures));
  } else if (*unit == "degF") {
    probe.unit = RawUnit::degF;
  } else if (*unit == "K") {
    probe.unit = RawUnit::kelvin;
  }
}

/// A probe called "cup" watches the cup, and so on; any other name needs its role said.
void read_role(TomlSection& section, ProbeSettings& probe) {
  const auto from_name = role_from_name(probe.name);
  if (from_name) probe.role = *from_name;
  const auto chosen =
      from_name ? section.choice("role", role_names) : section.required_choice("role", role_names);
  if (chosen) probe.role = *role_from_name(role_names[*chosen]);
}

}  // namespace

std::string path_beside(const std::string& file_path, const std::string& written) {
  const auto folder = std::filesystem::absolute(file_path).parent_path();
  return (folder / written).lexically_normal().string();
}

void read_bench_table(TomlSection section, BenchFile& bench) {
  bench.name = section.required_text("name", "the bench's name, such as \"bench-4\"");
  if (bench.name.find_first_of("/\n\t") != std::string::npos || bench.name.starts_with('.')) {
    section.problem("name", fmt::format("is \"{}\", expected a name that can begin a file's name: "
                                        "no /, no line break, no dot in front",
                                        bench.name));
  }
  bench.interval_s = section.number("interval_s", {0.05, 60.0}).value_or(bench.interval_s);
  bench.after_period_s =
      section.number("after_period_s", {20.0, 3600.0}).value_or(bench.after_period_s);
  const auto beside = [&](std::string_view key, const std::string& fallback) {
    const auto written = section.text(key);
    if (written == "") section.problem(key, "is empty, expected a path");
    const std::string used = written.value_or(fallback);
    return used.empty() ? used : path_beside(bench.path, used);
  };
  bench.store = beside("store", bench.name + ".db");
  bench.control = beside("control", bench.name + ".sock");
  bench.sheet = beside("sheet", "");
  if (bench.control.size() > longest_socket_path) {
    section.problem("control",
                    fmt::format("{} has {} bytes, expected at most {} (limit of Unix "
                                "sockets); name a shorter path, such as one in /run",
                                bench.control, bench.control.size(), longest_socket_path));
  }
  bench.listen = section.text("listen").value_or("");
  if (section.has("listen") && !is_address(bench.listen)) {
    section.problem("listen", fmt::format("is \"{}\", expected host:port such as "
                                          "\"127.0.0.1:8734\"; leave it out for no page",
                                          bench.listen));
  }
  section.refuse_other_keys();
}

PortSettings read_port(TomlSection& section, double interval_s) {
  PortSettings port;
  port.name = section.required_text("name", "a name that probes use, such as \"board\"");
  port.device = section.required_text(
      "device", "the port's path, best a lasting one such as \"/dev/serial/by-id/...\"");
  read_baud(section, port);
  read_protocol(section, port);
  read_line_format(section, port);
  port.settle_s = section.number("settle_s", {0.0, 60.0}).value_or(port.settle_s);
  port.silence_s = section.number("silence_s", {0.1, 3600.0})
                       .value_or(std::max(port.silence_s, 3.0 * interval_s));
  if (section.has("silence_s") && !port.request.empty() && port.silence_s <= interval_s) {
    section.problem("silence_s", fmt::format("is {}, expected more than interval_s ({}), or the "
                                             "port counts as silent between two requests",
                                             port.silence_s, interval_s));
  }
  section.refuse_other_keys();
  return port;
}

ProbeSettings read_probe(TomlSection& section) {
  ProbeSettings probe;
  probe.name = section.required_text("name", "the probe's name, such as \"cup\"");
  if (!probe.name.empty() && !is_plain_name(probe.name)) {
    section.problem("name", fmt::format("is \"{}\", expected letters, digits, - and _ only: it "
                                        "heads a column of the exported traces",
                                        probe.name));
  }
  read_role(section, probe);
  probe.port = section.required_text("port", "the name of a [[port]]");
  probe.column = section.whole("column", 1, 256);
  probe.key = section.text("key");
  if (probe.key && (probe.key->empty() || probe.key->find_first_of("=: ") != std::string::npos)) {
    section.problem("key", fmt::format("is \"{}\", expected the word before = or : in the "
                                       "device's line",
                                       *probe.key));
  }
  read_unit(section, probe);
  probe.lowest_degC = section.number("min_degC", any_temperature_degC).value_or(probe.lowest_degC);
  probe.highest_degC =
      section.number("max_degC", any_temperature_degC).value_or(probe.highest_degC);
  if (probe.lowest_degC >= probe.highest_degC) {
    section.problem(section.has("min_degC") ? "min_degC" : "max_degC",
                    fmt::format("leaves nothing between min_degC = {} and max_degC = {}, expected "
                                "min_degC to be the lower",
                                probe.lowest_degC, probe.highest_degC));
  }
  probe.tolerance_K = section.number("tolerance_K", {0.0, 20.0, true});
  section.refuse_other_keys();
  return probe;
}

NotebookSettings read_notebook(TomlSection& section, const std::string& file_path) {
  NotebookSettings notebook;
  const auto kind = section.required_choice("kind", notebook_kinds);
  if (!kind) return notebook;  // which keys belong here depends on it
  notebook.kind = notebook_kinds[*kind];
  if (notebook.kind == "folder") {
    const std::string written = section.required_text("path", "the folder's path");
    if (!written.empty()) notebook.target = path_beside(file_path, written);
  } else {
    notebook.target = section.required_text("url", "the address of the notebook");
  }
  section.refuse_other_keys();
  return notebook;
}

}  // namespace nestcup
