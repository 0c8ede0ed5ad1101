// The running daemon: everything that a bench file asks for, from start to a clean stop.
#pragma once

#include <string>

#include "core/base/result.hpp"
#include "core/sheet/bench_file.hpp"
#include "core/sheet/sheet_file.hpp"
#include "daemon/bench/bench.hpp"

namespace nestcup::daemon {

struct ServiceOptions {
  BenchFile bench;
  std::optional<Sheet> sheet;
  double speed = 1.0;  ///< bench seconds per second; other than 1 for demos and tests only
  Log log;             ///< called from any thread
};

/// Runs until SIGTERM or SIGINT, then commits everything and returns.
/// @errors try_later: another process writes the store; cannot_create, not_permitted, bad_data, io
///         (store); unavailable (control socket); bad_configuration (ports)
[[nodiscard]] Result<void> run_service(ServiceOptions options);

}  // namespace nestcup::daemon
