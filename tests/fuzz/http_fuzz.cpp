// libFuzzer target of the daemon's HTTP and WebSocket.
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>

#include "tests/fuzz/http_property.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view input(reinterpret_cast<const char*>(data), size);
  if (const auto outcome = nestcup::fuzzing::http_outcome(input); outcome.broken) {
    std::fprintf(stderr, "broken: %s\n", outcome.broken->c_str());
    std::abort();
  }
  return 0;
}
