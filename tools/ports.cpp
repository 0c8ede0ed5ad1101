// nestcup ports: the serial ports of this machine.
#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "drivers/line/port_list.hpp"
#include "tools/cli/output.hpp"
#include "tools/cli/parsed.hpp"
#include "tools/commands.hpp"
#include "tools/listen/listen_command.hpp"
#include "tools/place.hpp"

namespace nestcup {
namespace {

std::string_view access_name(drivers::PortAccess access) {
  switch (access) {
    case drivers::PortAccess::free:
      return "free";
    case drivers::PortAccess::taken:
      return "taken";
    case drivers::PortAccess::not_permitted:
      return "not permitted";
    case drivers::PortAccess::missing:
      return "missing";
  }
  return "missing";
}

nlohmann::ordered_json port_json(const drivers::PortListing& port) {
  nlohmann::ordered_json json{{"path", port.path},
                              {"device", port.link.value_or(port.path)},
                              {"lasting", port.link.has_value()},
                              {"description", port.description},
                              {"usb_vendor", nullptr},
                              {"usb_product", nullptr},
                              {"serial_number", port.serial_number},
                              {"access", access_name(port.access.access)},
                              {"advice", port.access.advice}};
  if (port.usb) {
    json["usb_vendor"] = fmt::format("{:04x}", port.usb->vendor);
    json["usb_product"] = fmt::format("{:04x}", port.usb->product);
  }
  return json;
}

int run_ports(const cli::Parsed& parsed, cli::Streams& streams) {
  if (parsed.flag("listen")) return listen_to_port(parsed, streams);
  const auto ports = drivers::list_ports();
  if (!ports) return cli::report_error(streams, ports.error());
  if (parsed.flag("json")) {
    nlohmann::ordered_json list = nlohmann::ordered_json::array();
    for (const drivers::PortListing& port : *ports) list.push_back(port_json(port));
    streams.out << list.dump() << '\n';
    return 0;
  }
  if (ports->empty()) {
    streams.err << fmt::format("{}: no serial port; plug the board in and try again\n",
                               streams.program);
    return 0;
  }
  cli::Table table({{"device"}, {"port"}, {"access"}, {"what it is"}});
  for (const drivers::PortListing& port : *ports) {
    table.add_row({port.link.value_or(port.path), port.path,
                   std::string(access_name(port.access.access)), port.description});
  }
  streams.out << table.text(streams.colour);
  for (const drivers::PortListing& port : *ports) {
    if (!port.access.advice.empty()) streams.out << port.path << ": " << port.access.advice << '\n';
  }
  return 0;
}

}  // namespace

cli::CommandSpec ports_command() {
  cli::CommandSpec command;
  command.name = "ports";
  command.summary = "list the serial ports with their lasting names";
  command.description = {
      "Lists the serial ports of this machine without opening any. \"device\" is what to write "
      "into "
      "the bench file: a lasting name where the system has one, since the short name may be "
      "another after the next plugging in. Says when a port is taken or not permitted, and what "
      "to do."};
  command.description.push_back(
      "With --listen a port is opened and what arrives is shown for a while. At the end stands how "
      "many lines were whole, and, where they make sense, the entries to paste into a bench file. "
      "Nothing is sent unless --ask says what. Opening a port resets many boards; their first "
      "words are part of what is shown.");
  command.options = listen_options();
  command.options.push_back(json_option());
  command.examples = {
      {"nestcup ports", "what is plugged in?"},
      {"nestcup ports --listen /dev/ttyACM0", "what does it say, and what goes into bench.toml?"},
      {"nestcup ports --listen /dev/ttyUSB0 --baud 9600 --ask \"*IDN?\\n\"", "who is this meter?"}};
  command.exit_notes = {{66, "no such port"},
                        {69, "the port went away"},
                        {75, "another program has the port"},
                        {77, "the port is not permitted"},
                        {78, "it is no serial port, or cannot do that rate"}};
  command.run = run_ports;
  return command;
}

}  // namespace nestcup
