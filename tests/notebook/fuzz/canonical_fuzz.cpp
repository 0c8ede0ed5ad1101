// Any bytes as JSON: they are refused, or their canonical text is its own canonical text and means
// the same.
#include <cstdint>
#include <cstdlib>
#include <nlohmann/json.hpp>
#include <string_view>

#include "core/base/canonical_json.hpp"

using namespace nestcup;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const auto first = canonical_json(text);
  if (!first) {
    if (first.error().text.find('\n') != std::string::npos) std::abort();
    return 0;
  }
  const auto second = canonical_json(*first);
  if (!second || *second != *first) std::abort();
  const auto value = nlohmann::ordered_json::parse(text);
  const auto parsed = canonical_json(value);
  if (!parsed || *parsed != *first) std::abort();
  return 0;
}
