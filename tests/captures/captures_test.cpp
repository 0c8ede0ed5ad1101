// Every capture gives the readings that were approved for it.
#include <filesystem>
#include <fstream>
#include <iterator>
#include <set>

#include "drivers/protocol/registry.hpp"
#include "tests/captures/decoded.hpp"
#include "tests/catch.hpp"

namespace fs = std::filesystem;

namespace {

const fs::path corpus = NESTCUP_SOURCE_DIR "/tests/captures";

/// The folders protocol/name.
std::vector<fs::path> captures() {
  std::vector<fs::path> found;
  for (const auto& protocol : fs::directory_iterator(corpus)) {
    if (!protocol.is_directory()) continue;
    for (const auto& capture : fs::directory_iterator(protocol)) found.push_back(capture);
  }
  return found;
}

std::string text_of(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
}

}  // namespace

TEST_CASE("captures give the approved readings") {
  for (const fs::path& folder : captures()) {
    INFO(folder << ": after a change that is meant, build the target approve_captures, read the "
                   "difference, and commit it");
    const auto decoded = nestcup::captures::decoded_capture(folder);
    if (!decoded) UNSCOPED_INFO(decoded.error().text);
    REQUIRE(decoded);
    CHECK(*decoded == text_of(folder / "readings.csv"));
  }
}

TEST_CASE("no protocol is without a capture") {
  std::set<std::string> captured;
  for (const fs::path& folder : captures()) {
    captured.insert(folder.parent_path().filename().string());
  }
  for (const auto& protocol : nestcup::drivers::protocol_names()) {
    INFO(protocol.name);
    CHECK(captured.count(std::string(protocol.name)) == 1);
  }
}
