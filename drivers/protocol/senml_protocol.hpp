// SenML in JSON (RFC 8428): one pack a line.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/sheet/port_settings.hpp"
#include "drivers/protocol/line_protocol.hpp"
#include "drivers/protocol/senml_pack.hpp"

namespace nestcup::drivers {

/// Longest pack that is taken, bytes.
inline constexpr std::size_t longest_senml_line = 8192;

/// A channel is found by the whole name of its records (base name and name put together) or, where
/// that is not there, by the name without the base name. Units are those of the RFC's registry
/// (Cel, K, Ohm, V, mV, /) and must be the channel's; a record without unit has it. Several records
/// of one name are several readings: each is stamped as much before the newest of the pack as its
/// time says, the newest with the line's arrival (or as long before as its own relative time says).
/// Lines that are empty or begin with a letter are a banner.
class SenmlProtocol final : public LineProtocol {
 public:
  /// @errors bad_configuration: a channel without key (its name)
  [[nodiscard]] static Result<std::unique_ptr<Protocol>> make(
      const PortSettings& port, const std::vector<ChannelSettings>& channels);

 private:
  struct Wanted {
    std::string name;
    RawUnit unit;
  };

  SenmlProtocol(const PortSettings& port, const std::vector<ChannelSettings>& channels);
  LineKind take_line(const TextLine& line, TimeUs stamp_us, ProtocolSink& sink) override;
  LineKind take_pack(const std::vector<SenmlRecord>& records, TimeUs stamp_us, ProtocolSink& sink);
  bool take_record(const SenmlRecord& record, std::size_t channel, TimeUs stamp_us,
                   ProtocolSink& sink) const;

  std::vector<Wanted> wanted_;
};

}  // namespace nestcup::drivers
