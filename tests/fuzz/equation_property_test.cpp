// The property that the fuzzer looks for breaches of, on its seeds and on seeds cut and spoilt.
#include "tests/fuzz/equation_property.hpp"

#include <filesystem>
#include <fstream>
#include <iterator>
#include <random>
#include <vector>

#include "tests/catch.hpp"

namespace {

std::vector<std::string> seeds() {
  std::vector<std::string> texts;
  const auto folder = std::filesystem::path(NESTCUP_SOURCE_DIR) / "tests/fuzz/seeds/equation";
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    std::ifstream file(entry.path(), std::ios::binary);
    texts.emplace_back(std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>());
  }
  return texts;
}

}  // namespace

TEST_CASE("the property of equations holds for every seed") {
  const auto texts = seeds();
  REQUIRE(texts.size() >= 12);
  for (const std::string& text : texts) {
    INFO(text);
    CHECK(nestcup::fuzzing::broken_equation_property(text).value_or("") == "");
  }
}

TEST_CASE("the property of equations holds for seeds spoilt at random") {
  std::mt19937 random(5);
  constexpr std::string_view letters = "0123456789.+-/^*()[]->= HOCNaMgSlegaqs\xC2\xB7\xE2";
  for (const std::string& text : seeds()) {
    for (int turn = 0; turn < 60 && !text.empty(); ++turn) {
      std::string spoilt = text.substr(0, text.size() - random() % (1 + text.size() / 2));
      for (int i = 0; i < turn % 4 && !spoilt.empty(); ++i) {
        spoilt[random() % spoilt.size()] = letters[random() % letters.size()];
      }
      INFO(spoilt);
      CHECK(nestcup::fuzzing::broken_equation_property(spoilt).value_or("") == "");
    }
  }
}
