// The protocols that nestcup speaks. A protocol's identity is its name in the bench file.
#pragma once

#include <memory>
#include <string_view>
#include <vector>

#include "core/base/result.hpp"
#include "core/sheet/port_settings.hpp"
#include "drivers/protocol/protocol.hpp"

namespace nestcup::drivers {

/// How far a protocol has been tried.
enum class Maturity {
  simulated,  ///< against simulated boards on pseudo-terminals only
  bench,      ///< on real boards at a bench
};

/// What `nestcup` tells of a protocol.
struct ProtocolName {
  std::string_view name;
  Maturity maturity;
};

/// All protocols, in the order in which they are shown.
[[nodiscard]] std::vector<ProtocolName> protocol_names();

/// The protocol that `port.protocol` names, for the channels on this port.
/// @errors bad_configuration: no such protocol (the text lists them), or its settings are wrong
[[nodiscard]] Result<std::unique_ptr<Protocol>> make_protocol(
    const PortSettings& port, const std::vector<ChannelSettings>& channels);

}  // namespace nestcup::drivers
