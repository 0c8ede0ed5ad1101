#include "drivers/protocol/registry.hpp"

#include <fmt/format.h>

#include <array>
#include <string>

#include "drivers/protocol/modbus_protocol.hpp"
#include "drivers/protocol/scpi_protocol.hpp"
#include "drivers/protocol/senml_protocol.hpp"
#include "drivers/protocol/text_protocol.hpp"

namespace nestcup::drivers {
namespace {

using Factory = Result<std::unique_ptr<Protocol>> (*)(const PortSettings&,
                                                      const std::vector<ChannelSettings>&);

struct Entry {
  std::string_view name;
  Maturity maturity;
  Factory factory;
};

constexpr std::array<Entry, 4> entries{{
    {"text", Maturity::simulated, &TextProtocol::make},
    {"senml", Maturity::simulated, &SenmlProtocol::make},
    {"modbus-rtu", Maturity::simulated, &ModbusProtocol::make},
    {"scpi", Maturity::simulated, &ScpiProtocol::make},
}};

}  // namespace

std::vector<ProtocolName> protocol_names() {
  std::vector<ProtocolName> names;
  for (const auto& entry : entries) names.push_back({entry.name, entry.maturity});
  return names;
}

Result<std::unique_ptr<Protocol>> make_protocol(const PortSettings& port,
                                                const std::vector<ChannelSettings>& channels) {
  std::string known;
  for (const auto& entry : entries) {
    if (entry.name == port.protocol) return entry.factory(port, channels);
    known += fmt::format("{}\"{}\"", known.empty() ? "" : ", ", entry.name);
  }
  return Error{Fault::bad_configuration,
               fmt::format("port \"{}\": there is no protocol \"{}\"; known: {}", port.name,
                           port.protocol, known)};
}

}  // namespace nestcup::drivers
