// A push-button or foot switch on a modem line of a serial adapter: its presses, debounced.
#pragma once

#include <boost/asio/io_context.hpp>
#include <boost/asio/steady_timer.hpp>
#include <functional>
#include <memory>
#include <optional>

#include "core/base/clock.hpp"
#include "core/sheet/port_settings.hpp"

namespace nestcup::drivers {

/// Presses out of levels looked at now and then. A press is a line that was off for `rest_s` and
/// then on for `hold_s`: contacts bounce for some milliseconds, and a press must not count twice.
/// A line that is on from the beginning counts as on once it has been off.
class Debounce {
 public:
  static constexpr double hold_s = 0.03;
  static constexpr double rest_s = 0.2;

  /// @return when the press began, once for each, as soon as it has been held long enough
  [[nodiscard]] std::optional<TimeUs> take(bool on, TimeUs now_us);
  /// The line was not looked at for a while.
  void reset() { *this = {}; }

 private:
  std::optional<TimeUs> off_since_us_;
  std::optional<TimeUs> on_since_us_;
  bool ready_ = false;  // it was off long enough for a press to count
};

/// Looks at a modem line every 10 ms (machine time) and tells its presses. To be used from the
/// io_context's thread only.
class LineSignal {
 public:
  /// The level of the line; nothing while the port is not open or has no such line.
  using Look = std::function<std::optional<bool>()>;

  LineSignal(boost::asio::io_context& context, const Clock& clock, Look look,
             std::function<void(TimeUs)> on_press);

  void start();
  void stop();

 private:
  void wait();

  const Clock& clock_;
  Look look_;
  std::function<void(TimeUs)> on_press_;
  Debounce debounce_;
  boost::asio::steady_timer timer_;
  std::shared_ptr<int> alive_;  // gone with this object or when stopped: late handlers see it
};

/// The level of CTS or DSR of an open port; nothing where it has no modem lines.
[[nodiscard]] std::optional<bool> modem_line(int descriptor, MarkLine line);

}  // namespace nestcup::drivers
