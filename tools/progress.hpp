// How far long work is, on standard error.
#pragma once

#include <chrono>
#include <cstddef>
#include <string_view>

#include "tools/cli/streams.hpp"

namespace nestcup {

/// Says every two seconds how far it is; work that is quicker says nothing.
class Progress {
 public:
  explicit Progress(cli::Streams& streams) : streams_(streams) {}

  /// "120 of 3000 runs"
  void at(std::size_t done, std::size_t total);
  /// The same in other words.
  void say(std::string_view words);

 private:
  cli::Streams& streams_;
  std::chrono::steady_clock::time_point told_ = std::chrono::steady_clock::now();
};

}  // namespace nestcup
