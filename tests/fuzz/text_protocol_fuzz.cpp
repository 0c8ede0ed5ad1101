// libFuzzer target of the text driver.
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>

#include "tests/fuzz/text_property.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (const auto broken = nestcup::fuzzing::broken_text_property({data, size})) {
    std::fprintf(stderr, "broken: %s\n", broken->c_str());
    std::abort();
  }
  return 0;
}
