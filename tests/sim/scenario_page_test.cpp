// The page on scenario files names every key that is read, and every event and protocol.
#include <filesystem>
#include <fstream>
#include <iterator>
#include <regex>
#include <set>

#include "sim/board_settings.hpp"
#include "tests/catch.hpp"

namespace {

std::string content(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
}

/// All that a pattern's first group finds in the readers of scenario files.
std::set<std::string> found_in_readers(const std::string& pattern) {
  std::set<std::string> words;
  const std::regex wanted(pattern);
  for (const auto& entry :
       std::filesystem::directory_iterator(std::string(NESTCUP_SOURCE_DIR) + "/sim")) {
    if (entry.path().filename().string().find("_reader.cpp") == std::string::npos) continue;
    const std::string text = content(entry.path());
    for (std::sregex_iterator at(text.begin(), text.end(), wanted), end; at != end; ++at) {
      words.insert((*at)[1].str());
    }
  }
  return words;
}

}  // namespace

TEST_CASE("the page on scenarios has every key, event and protocol") {
  const std::string page = content(std::string(NESTCUP_SOURCE_DIR) + "/sim/SCENARIO.md");
  auto words = found_in_readers(
      R"re((?:number|lag|whole|text|flag|texts|choice|mine)\(\s*(?:reader, )?"(\w+)")re");
  CHECK(words.size() > 70);
  const auto events = found_in_readers(R"re(what == "([a-z ]+)")re");
  CHECK(events.size() >= 10);
  words.insert(events.begin(), events.end());
  for (const auto name : nestcup::sim::protocol_names) words.insert(std::string(name));
  for (const std::string& word : words) {
    INFO(word);
    const bool named = std::regex_search(page, std::regex("(^|[^\\w])" + word + "([^\\w]|$)"));
    CHECK(named);
  }
}
