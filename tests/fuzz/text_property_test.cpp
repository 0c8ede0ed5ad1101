// The fuzz target's property on its seeds and on each seed with one byte wrong; runs everywhere,
// with or without libFuzzer.
#include "tests/fuzz/text_property.hpp"

#include <filesystem>
#include <fstream>
#include <iterator>
#include <vector>

#include "tests/catch.hpp"

using namespace nestcup;

namespace {

using Bytes = std::vector<std::uint8_t>;

std::vector<Bytes> seeds() {
  std::vector<Bytes> found;
  const std::filesystem::path folder = NESTCUP_SOURCE_DIR "/tests/fuzz/seeds/text";
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    std::ifstream file(entry.path(), std::ios::binary);
    found.emplace_back(std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>());
  }
  return found;
}

std::string broken(const Bytes& input) {
  return fuzzing::broken_text_property(input).value_or("");
}

}  // namespace

TEST_CASE("the text driver's property holds on all seeds") {
  REQUIRE(seeds().size() >= 8);
  for (const auto& seed : seeds()) CHECK(broken(seed).empty());
}

TEST_CASE("it holds with one byte lost, doubled or flipped at every place") {
  for (const auto& seed : seeds()) {
    for (std::size_t i = 0; i < seed.size(); ++i) {
      INFO("byte " << i);
      Bytes lost = seed;
      lost.erase(lost.begin() + static_cast<std::ptrdiff_t>(i));
      REQUIRE(broken(lost).empty());
      Bytes doubled = seed;
      doubled.insert(doubled.begin() + static_cast<std::ptrdiff_t>(i), seed[i]);
      REQUIRE(broken(doubled).empty());
      for (int bit = 0; bit < 8; ++bit) {
        Bytes flipped = seed;
        flipped[i] ^= static_cast<std::uint8_t>(1u << bit);
        REQUIRE(broken(flipped).empty());
      }
    }
  }
}
