#include "core/notebook/bundle.hpp"

#include "tests/catch.hpp"

using namespace nestcup;

TEST_CASE("Paths that stay below their folder are taken") {
  for (const char* path : {"a", "readings.csv", "run-1/readings.csv", "a b/c d.txt", "..a/b..",
                           ".hidden", "\u00DCbersicht.txt", "a/b/c/d/e"}) {
    CHECK(check_bundle_path(path));
  }
  CHECK(check_bundle_path(std::string(255, 'x')));
}

TEST_CASE("Paths that lead out, or mean something else elsewhere, are refused with their name") {
  const std::vector<std::pair<std::string, std::string>> wrong = {
      {"", "the path is empty"},
      {"/etc/passwd", "absolute"},
      {"../x", "leads out of the folder"},
      {"a/../../x", "leads out of the folder"},
      {"a/..", "leads out of the folder"},
      {"./a", "names no file"},
      {"a//b", "a part of the path is empty"},
      {"a/", "a part of the path is empty"},
      {"a\\b", "backslash"},
      {"C:/x", "begins with a drive"},
      {"a\nb", "control character"},
      {std::string("a\0b", 3), "control character"},
      {"a /b", "begins or ends with a blank"},
      {"\xFF", "not UTF-8"},
      {std::string(256, 'x'), "255"},
      {std::string(1001, 'x'), "1000"},
  };
  for (const auto& [path, reason] : wrong) {
    const Result<void> result = check_bundle_path(path);
    REQUIRE_FALSE(result);
    CHECK(result.error().kind == Fault::bad_data);
    CHECK_THAT(result.error().text, ContainsSubstring(reason));
    // Nothing of it may drive a terminal.
    for (const char c : result.error().text) CHECK(static_cast<unsigned char>(c) >= 0x20);
  }
}

TEST_CASE("A bundle has no path twice, and no file where a folder is") {
  CHECK(check_bundle({{"a/b", {}, {}, {}}, {"a/c", {}, {}, {}}, {"ab", {}, {}, {}}}));
  const Result<void> twice = check_bundle({{"a", {}, {}, {}}, {"a", {}, {}, {}}});
  REQUIRE_FALSE(twice);
  CHECK(twice.error().text == "\"a\": is there twice");
  const Result<void> both = check_bundle({{"a/b/c", {}, {}, {}}, {"a/b", {}, {}, {}}});
  REQUIRE_FALSE(both);
  CHECK(both.error().text == "\"a/b\": is a file and a folder at once");
}

TEST_CASE("A bundle moves into a folder") {
  const auto moved = below_folder("run", {{"a", "1", {}, {}}, {"b/c", "2", {}, {}}});
  CHECK(moved[0].path == "run/a");
  CHECK(moved[1].path == "run/b/c");
  CHECK(moved[1].bytes == "2");
}
