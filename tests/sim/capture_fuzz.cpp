// libFuzzer target of the reader and the play of captures.
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <string>

#include "tests/sim/capture_property.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string text(data, data + size);
  if (const auto broken = nestcup::sim::broken_capture_property(text)) {
    std::fprintf(stderr, "broken: %s\n", broken->c_str());
    std::abort();
  }
  return 0;
}
