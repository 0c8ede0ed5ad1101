// PortDecoder: one port's bytes to checked readings in degC, and the counts of all that was not
// one.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/clock.hpp"
#include "core/base/result.hpp"
#include "core/sheet/port_settings.hpp"
#include "drivers/protocol/protocol.hpp"
#include "drivers/same_values.hpp"
#include "drivers/transducer/transducer.hpp"

namespace nestcup::drivers {

/// How long a cold junction's temperature holds: an amplifier's block follows the room slowly.
inline constexpr double cold_junction_holds_s = 30.0;

/// What one probe of a port gave so far.
struct ProbeCounts {
  std::uint64_t readings = 0;
  FaultCounts faults;
  std::optional<TimeUs> last_us;    ///< stamp of the last reading, bench axis
  std::optional<double> last_degC;  ///< its temperature
  SameValues same;                  ///< of its quantity
};

/// What the lines (or frames) of a port were.
struct LineCounts {
  std::uint64_t data = 0;
  std::uint64_t faulty = 0;
  std::uint64_t headers = 0;
  std::uint64_t comments = 0;
  std::uint64_t empty = 0;
  std::uint64_t first = 0;  ///< dropped because they began before listening
  std::uint64_t late = 0;   ///< came when none was due, or waited too long; dropped
  FaultCounts faults;       ///< of whole lines; those of one probe are its own

  [[nodiscard]] std::uint64_t total() const {
    return data + faulty + headers + comments + empty + first + late;
  }
};

/// Pure: no port, no clock. Stamps of one probe rise strictly: of several lines that came in one
/// read, all stamped with its time, each further one is put 1 us after the one before.
class PortDecoder final : private ProtocolSink {
 public:
  /// @param probe  index in the list the decoder was made with
  /// @param raw    the quantity, scaled, in the unit of the probe's channel
  using OnReading =
      std::function<void(std::size_t probe, TimeUs time_us, double temperature_degC, double raw)>;
  using OnRemark = std::function<void(std::string_view text)>;

  /// @errors as make_protocol
  [[nodiscard]] static Result<std::unique_ptr<PortDecoder>> make(const PortSettings& port,
                                                                 std::vector<ProbeSettings> probes,
                                                                 OnReading on_reading,
                                                                 OnRemark on_remark = {});

  /// Takes what one read brought; `stamp_us` is what its readings are stamped with.
  void feed(std::span<const char> bytes, TimeUs stamp_us);
  /// The same, but what it completes is counted as late and never a reading.
  void feed_late(std::span<const char> bytes, TimeUs stamp_us);
  /// After the port was opened anew: see Protocol::reset.
  void reset();
  /// Asking: see Protocol.
  [[nodiscard]] bool is_polled() const { return protocol_->is_polled(); }
  [[nodiscard]] ExchangeManners manners() const { return protocol_->manners(); }
  [[nodiscard]] std::string next_request(TimeUs now_us) { return protocol_->next_request(now_us); }
  [[nodiscard]] bool is_answered() const { return protocol_->is_answered(); }
  [[nodiscard]] bool is_begun() const { return protocol_->is_begun(); }
  void give_up(TimeUs now_us);

  [[nodiscard]] const std::vector<ProbeCounts>& probes() const { return counts_; }
  [[nodiscard]] const LineCounts& lines() const { return lines_; }

 private:
  /// What becomes of one channel's quantity: a probe's temperature, or its cold junction's.
  struct Channel {
    ChannelSettings settings;
    Transducer transducer;
    std::size_t probe = 0;
    bool is_cold = false;
  };
  struct ColdJunction {
    double degC = 0.0;
    TimeUs stamp_us = 0;
  };

  [[nodiscard]] static Result<std::vector<Channel>> channels_of(
      const PortSettings& port, const std::vector<ProbeSettings>& probes);
  PortDecoder(std::vector<Channel> channels, std::vector<ProbeSettings> probes,
              std::unique_ptr<Protocol> protocol, OnReading on_reading, OnRemark on_remark);
  void quantity(const Quantity& found, TimeUs stamp_us) override;
  void fault(LineFault kind, std::optional<std::size_t> channel) override;
  void line(LineKind kind, TimeUs stamp_us) override;
  void remark(std::string_view text) override;
  void convert_held(bool cold);
  void convert(const Quantity& found, TimeUs stamp_us);
  void take(std::size_t probe, double temperature_degC, double raw, TimeUs stamp_us);
  [[nodiscard]] std::optional<double> cold_degC(std::size_t probe, TimeUs stamp_us) const;

  std::vector<Channel> channels_;  // the probes' in their order, then the cold junctions'
  std::vector<ProbeSettings> probes_;
  std::unique_ptr<Protocol> protocol_;
  OnReading on_reading_;
  OnRemark on_remark_;
  struct Held {
    Quantity quantity;
    TimeUs stamp_us;
  };
  std::vector<Held> held_;  // of the line at hand: a cold junction may stand behind its probe
  std::vector<std::optional<ColdJunction>> cold_;  // one for each probe
  std::vector<ProbeCounts> counts_;
  LineCounts lines_;
  bool late_ = false;
};

}  // namespace nestcup::drivers
