#include "core/sheet/channel_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "core/sheet/transducer_parts.hpp"

namespace nestcup {

namespace {

const std::array<std::string, 9> unit_names{"degC",  "degF", "K",  "ohm", "count",
                                            "ratio", "V",    "mV", "uV"};
const std::array<std::string, 5> format_names{"int16", "uint16", "int32", "uint32", "float32"};
const std::array<std::string, 4> order_names{"ABCD", "CDAB", "BADC", "DCBA"};
constexpr NumberRange any_number{-1e300, 1e300};

/// Keys that only some protocols know, and what a channel needs there.
struct PlaceKey {
  std::string_view key;
  std::string_view protocols;
};
constexpr std::array<PlaceKey, 8> place_keys{{{"column", "text scpi"},
                                              {"key", "text senml"},
                                              {"device", "modbus-rtu"},
                                              {"function", "modbus-rtu"},
                                              {"register", "modbus-rtu"},
                                              {"format", "modbus-rtu"},
                                              {"word_order", "modbus-rtu"},
                                              {"query", "scpi"}}};

void refuse_foreign_keys(TomlSection& section, const PortSettings& port) {
  for (const PlaceKey& place : place_keys) {
    if (!section.has(place.key) || place.protocols.find(port.protocol) != std::string_view::npos) {
      continue;
    }
    section.refuse(place.key,
                   fmt::format("means nothing on port \"{}\", which speaks {} (it is for {}), "
                               "expected it to be left out",
                               port.name, port.protocol, place.protocols));
  }
}

/// A text line's value is chosen by column or by key.
void read_text_place(TomlSection& section, const PortSettings& port, ChannelSettings& channel) {
  const bool has_column = section.has("column");
  const bool has_key = section.has("key");
  if (!has_column && !has_key) {
    section.problem("column",
                    "is missing and so is key, expected one of them: column = 1 for the "
                    "first value of a line, or key = \"T1\" for T1=21.5");
  } else if (has_column && has_key) {
    section.problem("key", "is there beside column, expected only one of them");
  } else if (channel.key &&
             (channel.key->empty() || channel.key->find_first_of("=: ") != std::string::npos)) {
    section.problem("key", fmt::format("is \"{}\", expected the word before = or : in the "
                                       "device's line",
                                       *channel.key));
  } else if (channel.key && channel.key->find(port.separator) != std::string::npos) {
    section.problem("key", fmt::format("\"{}\" holds the separator of its port, expected one word",
                                       *channel.key));
  }
}

void read_register_place(TomlSection& section, ChannelSettings& channel) {
  RegisterPlace place;
  place.device = section.whole("device", 1, 247).value_or(place.device);
  place.function = section.whole("function", 3, 4).value_or(place.function);
  if (const auto format = section.choice("format", format_names)) {
    place.format = static_cast<RegisterFormat>(*format);
  }
  const bool is_wide =
      place.format != RegisterFormat::int16 && place.format != RegisterFormat::uint16;
  if (const auto order = section.choice("word_order", order_names)) {
    place.order = static_cast<WordOrder>(*order);
    if (!is_wide) {
      section.problem("word_order",
                      "is for numbers of two registers (int32, uint32, float32), expected such a "
                      "format or no word_order");
    }
  }
  if (!section.has("register")) {
    section.problem("register",
                    "is missing, expected the register's number as it goes over the line, 0 to "
                    "65535 (a manual's 30001 or 40001 is number 0)");
  }
  place.first = section.whole("register", 0, is_wide ? 65534 : 65535).value_or(place.first);
  channel.registers = place;
}

void read_query(TomlSection& section, ChannelSettings& channel) {
  channel.query = section.text("query").value_or("MEASure:TEMPerature?");
  if (channel.query.find('?') == std::string::npos ||
      channel.query.find_first_of("\r\n") != std::string::npos) {
    section.problem("query",
                    fmt::format("is \"{}\", expected one query with a question mark, such as "
                                "\"MEASure:TEMPerature?\" or \"READ?\"",
                                channel.query));
  }
}

void read_place(TomlSection& section, const PortSettings& port, ChannelSettings& channel) {
  channel.column = section.whole("column", 1, 256);
  channel.key = section.text("key");
  if (port.protocol == "text") read_text_place(section, port, channel);
  if (port.protocol == "modbus-rtu") read_register_place(section, channel);
  if (port.protocol == "scpi") read_query(section, channel);
  if (port.protocol == "senml" && (!channel.key || channel.key->empty())) {
    section.problem("key", "is missing, expected the name (n) of the records in the device's pack");
  }
  refuse_foreign_keys(section, port);
}

void read_no_probe(TomlSection& section, ChannelSettings& channel) {
  const toml::array* const list = section.array("no_probe");
  if (list == nullptr) return;
  for (const toml::node& node : *list) {
    if (const auto number = node.value<double>()) {
      channel.no_probe.push_back(*number);
    } else {
      section.problem("no_probe",
                      "holds something else than numbers, expected those that the device sends "
                      "where it has no probe, such as [-127.0, 85.0]");
    }
  }
}

ChannelSettings read_channel(TomlSection& section, const PortSettings& port) {
  ChannelSettings channel;
  read_place(section, port, channel);
  if (const auto unit = section.choice("unit", unit_names)) {
    channel.unit = static_cast<RawUnit>(*unit);
  }
  channel.scale = section.number("scale", any_number).value_or(channel.scale);
  if (channel.scale == 0.0) {
    section.problem("scale", "is 0, expected what one step of the number sent stands for");
  }
  channel.offset = section.number("offset", any_number).value_or(channel.offset);
  read_no_probe(section, channel);
  return channel;
}

ColdChannel read_cold(TomlSection& section, const PortSettings& port, const std::string& probe) {
  ColdChannel cold;
  cold.channel = read_channel(section, port);
  cold.channel.name = "cold junction of " + probe;
  const TransducerPart part = read_transducer(section, cold.channel.unit);
  cold.transducer = part.settings;
  if (std::holds_alternative<ThermocoupleSettings>(part.settings)) {
    section.problem("transducer",
                    "is a thermocouple, whose own cold junction would have to be known, expected a "
                    "thermistor, a platinum probe or a temperature");
  }
  section.refuse_other_keys();
  return cold;
}

}  // namespace

void read_measurement(TomlSection& section, const PortSettings& port, ProbeSettings& probe) {
  probe.channel = read_channel(section, port);
  probe.channel.name = probe.name;
  const TransducerPart part = read_transducer(section, probe.channel.unit);
  probe.transducer = part.settings;
  if (!part.has_cold_channel) return;
  auto transducer = section.table("transducer");
  if (auto cold = transducer->table("cold")) probe.cold = read_cold(*cold, port, probe.name);
}

std::string place_text(const ChannelSettings& channel) {
  if (const auto& place = channel.registers) {
    return fmt::format("register {} (function {}) of device {}", place->first, place->function,
                       place->device);
  }
  const std::string column = channel.column ? fmt::format("column {}", *channel.column) : "";
  if (!channel.query.empty()) {
    return fmt::format("{} of {}", column.empty() ? "column 1" : column, channel.query);
  }
  return channel.key.value_or(column);
}

}  // namespace nestcup
