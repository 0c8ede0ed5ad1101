// The property that the fuzzer looks for breaches of, on its seeds and on seeds cut and spoilt.
#include "tests/sim/capture_property.hpp"

#include <filesystem>
#include <fstream>
#include <iterator>
#include <random>
#include <vector>

#include "sim/capture_file.hpp"
#include "tests/catch.hpp"

using namespace nestcup;
using namespace nestcup::sim;

namespace {

std::vector<std::string> seeds() {
  std::vector<std::string> texts;
  const auto folder = std::filesystem::path(NESTCUP_SOURCE_DIR) / "tests/sim/seeds/capture";
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    std::ifstream file(entry.path(), std::ios::binary);
    texts.emplace_back(std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>());
  }
  return texts;
}

}  // namespace

TEST_CASE("the property of captures holds for every seed, and most are captures") {
  const auto texts = seeds();
  REQUIRE(texts.size() >= 5);
  int good = 0;
  for (const std::string& text : texts) {
    CHECK(broken_capture_property(text).value_or("") == "");
    good += parse_capture(text, "seed").ok() ? 1 : 0;
  }
  CHECK(good >= 4);
}

TEST_CASE("the property of captures holds for seeds spoilt at random") {
  std::mt19937 random(5);
  constexpr std::string_view letters = "0123456789<> abcdefg#\n\r-.";
  for (const std::string& text : seeds()) {
    for (int turn = 0; turn < 2000 && !text.empty(); ++turn) {
      std::string spoilt = text.substr(0, text.size() - random() % (1 + text.size() / 2));
      for (int i = 0; i < turn % 4 && !spoilt.empty(); ++i) {
        spoilt[random() % spoilt.size()] = letters[random() % letters.size()];
      }
      INFO(spoilt);
      CHECK(broken_capture_property(spoilt).value_or("") == "");
    }
  }
}
