// What to do next at this bench.
#pragma once

#include "daemon/bench/advice.hpp"
#include "daemon/bench/bench.hpp"

namespace nestcup::daemon {

/// From what its probes, its run and its sheet say now; on the io_context's thread.
[[nodiscard]] Advice bench_advice(Bench& bench);

}  // namespace nestcup::daemon
