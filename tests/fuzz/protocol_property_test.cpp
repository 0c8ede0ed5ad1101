// The fuzz targets' property on their seeds and on each seed with one byte wrong; runs everywhere,
// with or without libFuzzer.
#include "tests/fuzz/protocol_property.hpp"

#include <filesystem>
#include <fstream>
#include <iterator>
#include <vector>

#include "tests/catch.hpp"

using namespace nestcup;

namespace {

using Bytes = std::vector<std::uint8_t>;

/// Folder of seeds and name of each protocol.
const std::vector<std::pair<std::string, std::string>> protocols{
    {"text", "text"}, {"senml", "senml"}, {"modbus", "modbus-rtu"}, {"scpi", "scpi"}};

std::vector<Bytes> seeds(const std::string& folder) {
  std::vector<Bytes> found;
  const std::filesystem::path path = NESTCUP_SOURCE_DIR "/tests/fuzz/seeds/" + folder;
  for (const auto& entry : std::filesystem::directory_iterator(path)) {
    std::ifstream file(entry.path(), std::ios::binary);
    found.emplace_back(std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>());
  }
  return found;
}

std::string broken(const std::string& protocol, const Bytes& input) {
  return fuzzing::broken_protocol_property(protocol, input).value_or("");
}

}  // namespace

TEST_CASE("the drivers' property holds on all seeds") {
  for (const auto& [folder, protocol] : protocols) {
    INFO(protocol);
    REQUIRE(seeds(folder).size() >= 5);
    for (const auto& seed : seeds(folder)) CHECK(broken(protocol, seed).empty());
  }
}

TEST_CASE("it holds with one byte lost, doubled or flipped at every place") {
  for (const auto& [folder, protocol] : protocols) {
    INFO(protocol);
    for (const auto& seed : seeds(folder)) {
      for (std::size_t i = 0; i < seed.size(); ++i) {
        INFO("byte " << i);
        Bytes lost = seed;
        lost.erase(lost.begin() + static_cast<std::ptrdiff_t>(i));
        REQUIRE(broken(protocol, lost).empty());
        Bytes doubled = seed;
        doubled.insert(doubled.begin() + static_cast<std::ptrdiff_t>(i), seed[i]);
        REQUIRE(broken(protocol, doubled).empty());
        for (int bit = 0; bit < 8; ++bit) {
          Bytes flipped = seed;
          flipped[i] ^= static_cast<std::uint8_t>(1u << bit);
          REQUIRE(broken(protocol, flipped).empty());
        }
      }
    }
  }
}
