// How far long work is, on standard error.
#pragma once

#include <chrono>
#include <cstddef>

#include "tools/cli/streams.hpp"

namespace nestcup {

/// Says every two seconds how many runs are done; work that is quicker says nothing.
class Progress {
 public:
  explicit Progress(cli::Streams& streams) : streams_(streams) {}

  void at(std::size_t done, std::size_t total);

 private:
  cli::Streams& streams_;
  std::chrono::steady_clock::time_point told_ = std::chrono::steady_clock::now();
};

}  // namespace nestcup
