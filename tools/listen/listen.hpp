// Listening to a port for a while.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/sheet/port_settings.hpp"
#include "drivers/line/serial_line.hpp"

namespace nestcup {

/// How long to listen, and what to do meanwhile.
struct ListenTask {
  PortSettings port;
  std::vector<ProbeSettings> probes{};  ///< polled ports are asked for these
  double interval_s = 0.5;              ///< how often
  double for_s = 10.0;
  std::string ask{};  ///< sent once when the port is open; empty for nothing
  drivers::OnTraffic on_traffic;
  std::function<void(const std::string&)> on_news;  ///< what becomes of the port, for a person
};

/// Opens the port, does the task and closes it; Ctrl-C ends it early.
/// @errors those of opening; unavailable: the port went away and did not come back in time
[[nodiscard]] Result<void> listen(const ListenTask& task);

}  // namespace nestcup
