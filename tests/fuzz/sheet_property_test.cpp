// The property that the fuzzer looks for breaches of, on its seeds and on seeds cut and spoilt.
#include "tests/fuzz/sheet_property.hpp"

#include <filesystem>
#include <fstream>
#include <iterator>
#include <random>
#include <vector>

#include "core/sheet/sheet_file.hpp"
#include "tests/catch.hpp"

namespace {

std::vector<std::string> seeds() {
  std::vector<std::string> texts;
  const auto folder = std::filesystem::path(NESTCUP_SOURCE_DIR) / "tests/fuzz/seeds/sheet";
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    std::ifstream file(entry.path(), std::ios::binary);
    texts.emplace_back(std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>());
  }
  return texts;
}

}  // namespace

TEST_CASE("the property of sheets holds for every seed, taken or refused") {
  const auto texts = seeds();
  REQUIRE(texts.size() >= 8);
  int taken = 0;
  for (const std::string& text : texts) {
    CHECK(nestcup::fuzzing::broken_sheet_property(text).value_or("") == "");
    taken += nestcup::parse_sheet(text, "seed.toml").ok() ? 1 : 0;
  }
  CHECK(taken >= 5);
  CHECK(taken < static_cast<int>(texts.size()));
}

TEST_CASE("the property of sheets holds for seeds spoilt at random") {
  std::mt19937 random(7);
  constexpr std::string_view letters = "0123456789.,-+e\"#\n[]{}=()> _HOaq";
  for (const std::string& text : seeds()) {
    for (int turn = 0; turn < 40 && !text.empty(); ++turn) {
      std::string spoilt = turn % 4 == 0 ? text.substr(0, random() % text.size()) : text;
      for (int i = 0; i < 1 + turn % 3 && !spoilt.empty(); ++i) {
        spoilt[random() % spoilt.size()] = letters[random() % letters.size()];
      }
      INFO(spoilt);
      CHECK(nestcup::fuzzing::broken_sheet_property(spoilt).value_or("") == "");
    }
  }
}
