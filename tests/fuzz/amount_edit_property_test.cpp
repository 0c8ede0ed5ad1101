// The property that the fuzzer looks for breaches of, on its seeds and on seeds spoilt.
#include "tests/fuzz/amount_edit_property.hpp"

#include <filesystem>
#include <fstream>
#include <iterator>
#include <random>
#include <vector>

#include "core/sheet/amount_edit.hpp"
#include "core/sheet/amounts.hpp"
#include "core/sheet/sheet_file.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

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

TEST_CASE("an amount of any seed can be set and set back") {
  int set = 0;
  for (const std::string& text : seeds()) {
    INFO(text);
    CHECK(fuzzing::broken_edit_property(text).value_or("") == "");
    const auto sheet = parse_sheet(text, "seed.toml");
    if (!sheet) continue;
    for (const SheetTrial& trial : sheet->trials) {
      for (const SheetAmount& amount : amounts_of(*sheet, trial)) {
        if (!amount.value) continue;
        const AmountChange change{trial.name, amount.part, amount.key, *amount.value * 0.99};
        set += edit_amount(*sheet, change).ok() ? 1 : 0;
      }
    }
  }
  CHECK(set >= 20);
}

TEST_CASE("the property of setting an amount holds for seeds spoilt at random") {
  std::mt19937 random(11);
  constexpr std::string_view letters = "019.,-+e\"'#\n\r\t[]{}=() _\xC3\xA4";
  for (const std::string& text : seeds()) {
    for (int turn = 0; turn < 100 && !text.empty(); ++turn) {
      std::string spoilt = text;
      const std::size_t at = random() % spoilt.size();
      const char letter = letters[random() % letters.size()];
      turn % 2 == 0 ? spoilt.insert(at, 1, letter) : spoilt.replace(at, 1, 1, letter);
      INFO(spoilt);
      CHECK(fuzzing::broken_edit_property(spoilt).value_or("") == "");
    }
  }
}
