// PortDecoder: one port's bytes to checked readings in degC, and the counts of all that was not
// one.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "core/base/clock.hpp"
#include "core/base/result.hpp"
#include "drivers/protocol/protocol.hpp"

namespace nestcup::drivers {

/// What one probe of a port gave so far.
struct ProbeCounts {
  std::uint64_t readings = 0;
  FaultCounts faults;
  std::optional<TimeUs> last_us;    ///< stamp of the last reading, bench axis
  std::optional<double> last_degC;  ///< its temperature
};

/// What the lines of a port were.
struct LineCounts {
  std::uint64_t data = 0;
  std::uint64_t faulty = 0;
  std::uint64_t headers = 0;
  std::uint64_t comments = 0;
  std::uint64_t empty = 0;
  std::uint64_t first = 0;  ///< dropped because they began before listening
  std::uint64_t late = 0;   ///< answers that came when none was due; dropped
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
  /// @param raw    the quantity as sent, in the probe's unit
  using OnReading =
      std::function<void(std::size_t probe, TimeUs time_us, double temperature_degC, double raw)>;

  /// @errors as make_protocol
  [[nodiscard]] static Result<std::unique_ptr<PortDecoder>> make(const PortSettings& port,
                                                                 std::vector<ProbeSettings> probes,
                                                                 OnReading on_reading);

  /// Takes what one read brought; `stamp_us` is when it arrived.
  void feed(std::span<const char> bytes, TimeUs stamp_us);
  /// The same, but what it completes is counted as late and never a reading.
  void feed_late(std::span<const char> bytes, TimeUs stamp_us);
  /// After the port was opened anew: see Protocol::reset.
  void reset() { protocol_->reset(*this); }
  [[nodiscard]] std::string next_request() { return protocol_->next_request(); }

  [[nodiscard]] const std::vector<ProbeCounts>& probes() const { return counts_; }
  [[nodiscard]] const LineCounts& lines() const { return lines_; }

 private:
  PortDecoder(std::unique_ptr<Protocol> protocol, std::vector<ProbeSettings> probes,
              OnReading on_reading);
  void quantity(const Quantity& found, TimeUs stamp_us) override;
  void fault(LineFault kind, std::optional<std::size_t> channel) override;
  void line(LineKind kind, TimeUs stamp_us) override;

  std::unique_ptr<Protocol> protocol_;
  std::vector<ProbeSettings> probes_;
  OnReading on_reading_;
  std::vector<ProbeCounts> counts_;
  LineCounts lines_;
  bool late_ = false;
};

}  // namespace nestcup::drivers
