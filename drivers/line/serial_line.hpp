// SerialLine: keeps one serial port open for ever, and says what becomes of it.
#pragma once

#include <array>
#include <boost/asio/io_context.hpp>
#include <boost/asio/steady_timer.hpp>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "core/base/clock.hpp"
#include "core/base/result.hpp"
#include "core/sheet/port_settings.hpp"
#include "drivers/line/adapter_identity.hpp"
#include "drivers/line/arrivals.hpp"
#include "drivers/line/line_state.hpp"
#include "drivers/line/serial_descriptor.hpp"

namespace nestcup::drivers {

/// What a line did so far.
struct SerialCounts {
  std::uint64_t opens = 0;
  std::uint64_t bytes = 0;              ///< taken
  std::uint64_t dropped_at_settle = 0;  ///< bytes read and thrown away while settling
  std::uint64_t reads = 0;
  std::uint64_t spurious_eofs = 0;   ///< reads of nothing without a hang-up
  std::uint64_t refused_writes = 0;  ///< not sent, because the port took no more
};

enum class Direction : std::uint8_t { to_device, from_device };

/// Takes all that goes over a port, also while it settles.
using OnTraffic = std::function<void(Direction, std::span<const char>, TimeUs)>;

/// What a line calls; all from the io_context's thread.
struct LineHandlers {
  /// A fresh opening has settled; the bytes that follow are of this opening.
  std::function<void()> on_start;
  /// Bytes as they came, with the bench time at which the read completed. Those of a device that
  /// talks by itself may be told up to 80 ms of bench time later than that (class Arrivals).
  std::function<void(std::span<const char>, TimeUs)> on_bytes;
  std::function<void(const LineChange&)> on_change;
  /// Bytes that waited until this process got to them, so that nobody knows when they came; dropped
  /// where nobody wants them.
  std::function<void(std::span<const char>, TimeUs)> on_late_bytes{};
  OnTraffic on_traffic{};  ///< where somebody listens
};

/// Reads a port on an io_context, one read at a time, and reopens it with growing waits for ever.
/// Waits are bench time. To be used from the io_context's thread only; may be destroyed while its
/// operations are still under way, but not from one of its own handlers. The adapter that was there
/// at the first opening is the one meant: another one at the same path is not opened (its readings
/// would go under the wrong name, and opening may reset it), but said.
class SerialLine final : private ArrivalTaker {
 public:
  /// @param sysfs  where the kernel shows its devices; another folder in tests
  SerialLine(boost::asio::io_context& context, const Clock& clock, PortSettings settings,
             LineHandlers handlers, std::string sysfs = "/sys");
  SerialLine(const SerialLine&) = delete;
  SerialLine& operator=(const SerialLine&) = delete;
  ~SerialLine() override;

  /// Opens the port now, or as soon as it can be opened.
  void start();
  /// Closes the port at once; nothing is called afterwards but one change to `closed`.
  void stop();
  /// Sends without waiting. What the port does not take at once goes ahead of the next write.
  /// @return false where the port is not open and settled or takes no more: nothing was sent
  bool write(std::string_view bytes);

  /// The open port's descriptor, for its modem lines; nothing while it is closed.
  [[nodiscard]] std::optional<int> descriptor();
  [[nodiscard]] const LineChange& state() const { return state_; }
  [[nodiscard]] const SerialCounts& counts() const { return counts_; }
  /// The adapter meant; nothing before the first opening, or where there is no USB adapter.
  [[nodiscard]] const std::optional<AdapterIdentity>& adapter() const { return adapter_; }

 private:
  using Buffer = std::array<char, 4096>;

  void try_open();
  [[nodiscard]] std::optional<std::string> stranger();
  void opened();
  void settled();
  void read_now();
  void on_read(std::size_t size, bool is_full);
  void take_arrival(std::size_t size, TimeUs stamp_us) override;
  void lose(const std::string& reason);
  void close();
  void wait_to_open(bool was_there);
  void look_for_device(TimeUs until_us, bool was_there);
  void watch_silence(TimeUs wait_us);
  void take(std::span<const char> bytes, TimeUs now_us);
  bool send_pending();
  void change(LineState state, std::string reason);
  [[nodiscard]] bool device_exists() const;
  template <class Work>
  void after(boost::asio::steady_timer& timer, std::chrono::nanoseconds wait, Work work);
  template <class Work>
  auto guarded(Work work);

  const Clock& clock_;
  PortSettings settings_;
  LineHandlers handlers_;
  std::string sysfs_;
  std::optional<AdapterIdentity> adapter_;
  boost::asio::io_context& context_;
  std::optional<SerialDescriptor> descriptor_;
  std::uint64_t watched_ = 0;             // the descriptor's number with the ReadWatch
  boost::asio::steady_timer step_timer_;  // settling, waiting to reopen
  boost::asio::steady_timer silence_timer_;
  Buffer buffer_{};
  std::size_t taken_ = 0;   // bytes at the buffer's front that were handed over
  std::size_t filled_ = 0;  // bytes in the buffer; all up to here were read
  LineChange state_;
  SerialCounts counts_;
  // Counts openings and closings: handlers of an earlier one are ignored. Shared so that they can
  // tell that this object is gone.
  std::shared_ptr<std::uint64_t> generation_ = std::make_shared<std::uint64_t>(0);
  std::size_t backoff_ = 0;
  std::optional<TimeUs> quiet_since_;  // nothing where nothing is to be expected
  std::string pending_;                // rest of a write that the port did not take at once
};

}  // namespace nestcup::drivers
