#include "tools/progress.hpp"

#include <fmt/format.h>

#include <ostream>

namespace nestcup {
namespace {

constexpr auto told_every = std::chrono::seconds(2);

}  // namespace

void Progress::at(std::size_t done, std::size_t total) {
  const auto now = std::chrono::steady_clock::now();
  if (now - told_ < told_every) return;
  told_ = now;
  streams_.err << fmt::format("{}: {} of {} runs\n", streams_.program, done, total) << std::flush;
}

}  // namespace nestcup
