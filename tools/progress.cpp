#include "tools/progress.hpp"

#include <fmt/format.h>

#include <ostream>

namespace nestcup {
namespace {

constexpr auto told_every = std::chrono::seconds(2);

}  // namespace

void Progress::at(std::size_t done, std::size_t total) {
  say(fmt::format("{} of {} runs", done, total));
}

void Progress::say(std::string_view words) {
  const auto now = std::chrono::steady_clock::now();
  if (now - told_ < told_every) return;
  told_ = now;
  streams_.err << fmt::format("{}: {}\n", streams_.program, words) << std::flush;
}

}  // namespace nestcup
