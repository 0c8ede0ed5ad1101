// core/sheet/SHEET.md: its sheets are read as they stand, and it names every key that is read; the
// example sheets are in order.
#include <filesystem>
#include <fstream>
#include <iterator>
#include <regex>
#include <set>

#include "core/sheet/sheet_file.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

const std::filesystem::path root = NESTCUP_SOURCE_DIR;

std::string content(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  REQUIRE(file.good());
  return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
}

/// The texts between ```toml and ```.
std::vector<std::string> snippets() {
  const std::string page = content(root / "core/sheet/SHEET.md");
  const std::string begin = "```toml\n";
  std::vector<std::string> found;
  for (std::size_t at = page.find(begin); at != std::string::npos; at = page.find(begin, at)) {
    at += begin.size();
    found.push_back(page.substr(at, page.find("```", at) - at));
  }
  return found;
}

Sheet in_order(const std::string& text, const std::string& path) {
  const SheetCheck check = check_sheet_text(text, path);
  for (const Error& problem : check.problems) FAIL_CHECK(problem.text);
  REQUIRE(check.sheet.has_value());
  return *check.sheet;
}

/// Keys as the readers of sheets ask for them.
std::set<std::string> keys_read() {
  std::set<std::string> keys;
  const std::regex asked(
      R"re((?:number|whole|text|texts|choice|table|tables|one_or_more|array|line))re"
      R"re(\((?:\*?section, )?"(\w+)")re");
  for (const auto& entry : std::filesystem::directory_iterator(root / "core/sheet")) {
    const std::string name = entry.path().filename().string();
    if (!name.starts_with("sheet_") || !name.ends_with(".cpp")) continue;
    const std::string code = content(entry.path());
    for (std::sregex_iterator at(code.begin(), code.end(), asked), end; at != end; ++at) {
      keys.insert((*at)[1].str());
    }
  }
  return keys;
}

}  // namespace

TEST_CASE("every sheet of the page is in order") {
  const auto texts = snippets();
  REQUIRE(texts.size() == 3);
  std::set<Purpose> purposes;
  for (const std::string& text : texts) {
    for (const SheetTrial& trial : in_order(text, "page.toml").trials) {
      purposes.insert(trial.purpose);
    }
  }
  CHECK(purposes.count(Purpose::calorimeter_constant) == 1);
  CHECK(purposes.count(Purpose::reaction) == 1);
  CHECK(purposes.count(Purpose::electrical_calibration) == 1);
}

TEST_CASE("the page names every key that is read") {
  const auto keys = keys_read();
  CHECK(keys.size() >= 55);
  const std::string page = content(root / "core/sheet/SHEET.md");
  for (const std::string& key : keys) {
    INFO(key);
    CHECK(std::regex_search(page, std::regex("[`\\[]" + key + "[`\\]]")));
  }
}

TEST_CASE("the example sheets are in order") {
  const auto demo = root / "tools/demo/sheet.toml";
  CHECK(in_order(content(demo), demo.string()).trials.size() == 4);
  const auto hydration = root / "tools/examples/magnesium-sulfate.toml";
  const Sheet salts = in_order(content(hydration), hydration.string());
  REQUIRE(salts.cycle.has_value());
  CHECK(salts.cycle->target.text == "MgSO4(s) + 7 H2O(l) -> MgSO4.7H2O(s)");
  CHECK(salts.cycle->from.size() == 2);
  const auto mixing = root / "tools/examples/metal-and-ice.toml";
  const Sheet metal = in_order(content(mixing), mixing.string());
  REQUIRE(metal.trials.size() == 3);
  CHECK(metal.trials[1].purpose == Purpose::heat_capacity);
  CHECK(metal.trials[2].purpose == Purpose::fusion);
}
