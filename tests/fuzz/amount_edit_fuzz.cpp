// libFuzzer target of setting an amount in a sheet.
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>

#include "tests/fuzz/amount_edit_property.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  if (const auto broken = nestcup::fuzzing::broken_edit_property(text)) {
    std::fprintf(stderr, "broken: %s\n", broken->c_str());
    std::abort();
  }
  return 0;
}
