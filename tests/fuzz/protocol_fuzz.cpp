// libFuzzer target of one protocol's driver; which one is said when it is built.
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>

#include "tests/fuzz/protocol_property.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (const auto broken =
          nestcup::fuzzing::broken_protocol_property(NESTCUP_FUZZED_PROTOCOL, {data, size})) {
    std::fprintf(stderr, "broken: %s\n", broken->c_str());
    std::abort();
  }
  return 0;
}
