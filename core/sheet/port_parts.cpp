// A [[port]] of a bench file.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "core/sheet/bench_parts.hpp"

namespace nestcup {

namespace {

const std::array<std::string, 4> separator_names{"comma", "semicolon", "tab", "blank"};
constexpr std::array<char, 4> separators{',', ';', '\t', ' '};
const std::array<std::string, 2> decimal_names{"point", "comma"};
const std::array<std::string, 4> protocol_names{"text", "senml", "modbus-rtu", "scpi"};
const std::array<std::string, 3> parity_names{"none", "even", "odd"};
const std::array<std::string, 3> modem_names{"leave", "on", "off"};
const std::array<std::string, 2> mark_names{"cts", "dsr"};

/// Keys that only some protocols know.
struct OwnKey {
  std::string_view key;
  std::string_view protocols;
};
constexpr std::array<OwnKey, 5> own_keys{{{"separator", "text"},
                                          {"decimal", "text"},
                                          {"comment", "text"},
                                          {"request", "text senml"},
                                          {"setup", "scpi"}}};

void read_mode(TomlSection& section, PortSettings& port) {
  // MODBUS over Serial Line V1.02, 3.4: 19200 Bd and even parity where nothing is set.
  if (port.protocol == "modbus-rtu") port.mode = {.baud = 19200, .parity = Parity::even};
  LineMode& mode = port.mode;
  mode.allow_1200 = section.flag("allow_1200").value_or(false);
  mode.baud = section.whole("baud", 1, 4'000'000).value_or(mode.baud);
  if (mode.baud == 1200 && !mode.allow_1200) {
    section.problem("baud",
                    "is 1200, expected another rate: opening a port at 1200 Bd sends many boards "
                    "into their boot loader; if this device really talks at 1200 Bd, add "
                    "allow_1200 = true");
  }
  if (const auto parity = section.choice("parity", parity_names)) {
    mode.parity = static_cast<Parity>(*parity);
  }
  mode.stop_bits = section.whole("stop_bits", 1, 2).value_or(mode.stop_bits);
  if (const auto dtr = section.choice("dtr", modem_names)) mode.dtr = static_cast<ModemLine>(*dtr);
  if (const auto line = section.choice("mark_on", mark_names)) {
    port.mark_on = static_cast<MarkLine>(*line);
  }
  if (const auto rts = section.choice("rts", modem_names)) mode.rts = static_cast<ModemLine>(*rts);
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
  port.setup = section.texts("setup");
  for (const OwnKey& own : own_keys) {
    if (!section.has(own.key) || own.protocols.find(port.protocol) != std::string_view::npos) {
      continue;
    }
    section.refuse(own.key, fmt::format("means nothing to protocol \"{}\" (it is for {}), expected "
                                        "it to be left out",
                                        port.protocol, own.protocols));
  }
}

void read_patience(TomlSection& section, PortSettings& port, double interval_s) {
  // Converters that measure when asked need up to a second; Modbus devices keep theirs ready.
  if (port.protocol == "modbus-rtu") port.answer_s = 1.0;
  port.answer_s = section.number("answer_s", {0.02, 60.0}).value_or(port.answer_s);
  port.settle_s = section.number("settle_s", {0.0, 60.0}).value_or(port.settle_s);
  port.silence_s = section.number("silence_s", {0.1, 3600.0})
                       .value_or(std::max(port.silence_s, 3.0 * interval_s));
  if (section.has("silence_s") && port.is_polled() && port.silence_s <= interval_s) {
    section.problem("silence_s", fmt::format("is {}, expected more than interval_s ({}), or the "
                                             "port counts as silent between two requests",
                                             port.silence_s, interval_s));
  }
}

}  // namespace

PortSettings read_port(TomlSection& section, double interval_s) {
  PortSettings port;
  port.name = section.required_text("name", "a name that probes use, such as \"board\"");
  port.device = section.required_text(
      "device", "the port's path, best a lasting one such as \"/dev/serial/by-id/...\"");
  if (const auto chosen = section.choice("protocol", protocol_names)) {
    port.protocol = protocol_names[*chosen];
  }
  read_mode(section, port);
  read_line_format(section, port);
  read_patience(section, port, interval_s);
  section.refuse_other_keys();
  return port;
}

}  // namespace nestcup
