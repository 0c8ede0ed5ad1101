// GET /metrics: how the daemon fares, for monitoring systems (OpenMetrics 1.0). It tells no result.
#pragma once

#include <cstdint>
#include <functional>

#include "daemon/api/book_reader.hpp"
#include "daemon/bench/bench.hpp"
#include "daemon/control/router.hpp"
#include "daemon/store/delivery.hpp"

namespace nestcup::daemon {

/// Who is connected now.
struct Connections {
  std::uint64_t control = 0;  ///< over the Unix socket
  std::uint64_t page = 0;     ///< over TCP
  std::uint64_t streams = 0;  ///< of both, those that watch
};

struct MetricsSources {
  Bench& bench;
  const Delivery& delivery;
  BookReader& reader;  ///< counts the runs; where the store cannot be read, the rest is told
  std::function<Connections()> connections;
};

void add_metrics_routes(Router& router, MetricsSources sources);

}  // namespace nestcup::daemon
