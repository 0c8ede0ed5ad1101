// ProbePort: one serial port with its probes, from the bytes to readings in degC.
#pragma once

#include <boost/asio/io_context.hpp>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "core/base/clock.hpp"
#include "core/base/result.hpp"
#include "core/sheet/port_settings.hpp"
#include "drivers/line/serial_line.hpp"
#include "drivers/port_decoder.hpp"

namespace nestcup::drivers {

/// How long a polled device may take to answer, bench time, s; sensors that convert on request
/// need up to 0.75 s. A shorter silence time of the port holds instead.
inline constexpr double request_timeout_s = 2.0;

/// A port that changed its state; told once a change.
struct PortChange {
  std::string port;  ///< its name in the bench file
  LineChange line;
};

/// What a polled port's requests came to.
struct RequestCounts {
  std::uint64_t sent = 0;
  std::uint64_t skipped = 0;     ///< not sent: the one before was still without an answer
  std::uint64_t refused = 0;     ///< not sent: the port was not open or took no more
  std::uint64_t unanswered = 0;  ///< sent, and no line came in time
};

/// How a port and its probes fare.
struct PortHealth {
  std::string port;
  LineChange line;
  SerialCounts serial;
  LineCounts lines;
  RequestCounts requests;
  std::vector<ProbeCounts> probes;  ///< in the order the port was made with
};

/// What a port calls; all from the io_context's thread.
struct PortHandlers {
  /// @param probe  index in the list the port was made with
  /// @param raw    the quantity as sent, in the probe's unit
  PortDecoder::OnReading on_reading;
  std::function<void(const PortChange&)> on_change;
};

/// To be used from the io_context's thread only.
class ProbePort {
 public:
  /// @param probes  those on this port
  /// @errors bad_configuration: the settings contradict each other; text names port and probe
  [[nodiscard]] static Result<std::unique_ptr<ProbePort>> make(boost::asio::io_context& context,
                                                               const Clock& clock,
                                                               const PortSettings& port,
                                                               std::vector<ProbeSettings> probes,
                                                               PortHandlers handlers);

  void start() { line_.start(); }
  /// Closes the port at once; no reading comes afterwards.
  void stop() { line_.stop(); }
  /// Whether the device wants to be asked.
  [[nodiscard]] bool is_polled() const { return !settings_.request.empty(); }
  /// Asks a polled device for its next readings; the sampler calls it on its grid. Does nothing
  /// for devices that talk by themselves.
  void ask();
  [[nodiscard]] PortHealth health() const;

 private:
  ProbePort(boost::asio::io_context& context, const Clock& clock, PortSettings port,
            std::unique_ptr<PortDecoder> decoder, PortHandlers handlers);
  [[nodiscard]] LineHandlers line_handlers();
  void take(std::span<const char> bytes, TimeUs stamp_us);
  [[nodiscard]] bool in_time(TimeUs now_us) const;

  const Clock& clock_;
  PortSettings settings_;
  std::unique_ptr<PortDecoder> decoder_;
  PortHandlers handlers_;
  std::optional<TimeUs> asked_us_;  // the last request of this opening
  bool answered_ = true;
  RequestCounts requests_;
  SerialLine line_;
};

}  // namespace nestcup::drivers
