// ProbePort: one serial port with its probes, from the bytes to readings in degC.
#pragma once

#include <boost/asio/io_context.hpp>
#include <boost/asio/steady_timer.hpp>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/clock.hpp"
#include "core/base/result.hpp"
#include "core/sheet/port_settings.hpp"
#include "drivers/line/serial_line.hpp"
#include "drivers/port_decoder.hpp"

namespace nestcup::drivers {

/// A port that changed its state; told once a change.
struct PortChange {
  std::string port;  ///< its name in the bench file
  LineChange line;
};

/// What a polled port's requests came to.
struct RequestCounts {
  std::uint64_t sent = 0;
  std::uint64_t skipped = 0;     ///< rounds not begun: the one before was still under way
  std::uint64_t refused = 0;     ///< not sent: the port was not open or took no more
  std::uint64_t unanswered = 0;  ///< sent, and no answer came in time
  std::uint64_t broken_off = 0;  ///< sent, and the answer stopped before it was whole
};

/// How a port and its probes fare.
struct PortHealth {
  std::string port;
  LineChange line;
  std::optional<AdapterIdentity> adapter;  ///< nothing where there is no USB adapter
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
  /// What the device says of itself, once a change.
  std::function<void(const std::string& port, std::string_view text)> on_remark;
};

/// To be used from the io_context's thread only. A polled device is asked in rounds: one question
/// after the other, each when the one before has its answer or has waited long enough for it.
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
  void stop();
  /// Whether the device wants to be asked.
  [[nodiscard]] bool is_polled() const { return decoder_->is_polled(); }
  /// Begins a round of questions to a polled device; the sampler calls it on its grid. Does nothing
  /// for devices that talk by themselves.
  void ask();
  [[nodiscard]] PortHealth health() const;

 private:
  ProbePort(boost::asio::io_context& context, const Clock& clock, PortSettings port,
            std::unique_ptr<PortDecoder> decoder, PortHandlers handlers);
  [[nodiscard]] LineHandlers line_handlers();
  void started();
  void take(std::span<const char> bytes, TimeUs stamp_us);
  void send_next();
  void pause_then_send();
  void end_round();
  void give_up(std::uint64_t& count);
  void stop_waiting();
  template <class Work>
  void after(double wait_s, Work work);

  const Clock& clock_;
  PortSettings settings_;
  std::unique_ptr<PortDecoder> decoder_;
  ExchangeManners manners_;
  PortHandlers handlers_;
  bool in_round_ = false;
  bool awaiting_ = false;
  TimeUs asked_us_ = 0;
  TimeUs answer_until_us_ = 0;
  TimeUs heard_us_ = 0;  // when the last bytes came
  RequestCounts requests_;
  std::shared_ptr<std::uint64_t> waits_ = std::make_shared<std::uint64_t>(0);
  boost::asio::steady_timer timer_;  // the pause before a question, or the wait for its answer
  SerialLine line_;
};

}  // namespace nestcup::drivers
