// How far long work is, on standard error.
#pragma once

#include <fmt/format.h>

#include <chrono>
#include <ostream>
#include <string>

#include "tools/cli/streams.hpp"

namespace nestcup {

/// Says "nestcup: 120 of 3000 runs" every two seconds.
class RunProgress {
 public:
  explicit RunProgress(cli::Streams& streams) : streams_(streams) {}

  void at(int done, int total) {
    constexpr auto every = std::chrono::seconds(2);
    const auto now = std::chrono::steady_clock::now();
    if (now - told_ < every) return;
    told_ = now;
    streams_.err << fmt::format("{}: {} of {} runs\n", streams_.program, done, total) << std::flush;
  }

 private:
  cli::Streams& streams_;
  std::chrono::steady_clock::time_point told_ = std::chrono::steady_clock::now();
};

}  // namespace nestcup
