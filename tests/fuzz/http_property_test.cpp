// The property that the fuzzer looks for breaches of, on its seeds and on seeds cut and spoilt.
#include "tests/fuzz/http_property.hpp"

#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
#include <random>

#include "tests/catch.hpp"

using nestcup::fuzzing::http_outcome;

namespace {

std::map<std::string, std::string> seeds() {
  std::map<std::string, std::string> texts;
  const auto folder = std::filesystem::path(NESTCUP_SOURCE_DIR) / "tests/fuzz/seeds/http";
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    std::ifstream file(entry.path(), std::ios::binary);
    texts[entry.path().filename().string()] = {std::istreambuf_iterator<char>(file), {}};
  }
  return texts;
}

}  // namespace

TEST_CASE("the property of HTTP holds for every seed, and they go many ways") {
  const std::map<std::string, std::vector<int>> expected{
      {"page", {200}},          {"head", {200, 200}},
      {"status", {200}},        {"encoded_path", {401}},
      {"tricks", {400, 400}},   {"mark", {200}},
      {"viewer_marks", {403}},  {"login", {200, 200}},
      {"cookie", {200}},        {"pipelined", {200, 200, 200, 200, 400}},
      {"chunked", {200}},       {"expect", {100, 200}},
      {"foreign", {403}},       {"cross_site", {200, 403}},
      {"two_hosts", {400}},     {"lengths", {400}},
      {"coding", {501}},        {"tls", {400}},
      {"many_lines", {431}},    {"not_json", {400}},
      {"stream", {101}},        {"stream_without_token", {401}},
      {"bad_handshake", {426}}, {"no_stream", {404}},
      {"fragments", {101}},
  };
  auto texts = seeds();
  for (const auto& [name, text] : texts) {
    INFO(name);
    const auto outcome = http_outcome(text);
    CHECK(outcome.broken.value_or("") == "");
    if (expected.count(name) != 0) CHECK(outcome.statuses == expected.at(name));
  }
  for (const auto& [name, statuses] : expected) CHECK(texts.count(name) == 1);
}

TEST_CASE("the property of HTTP holds for seeds spoilt at random") {
  std::mt19937 random(7);
  constexpr std::string_view letters = "\r\n :;,/%.?&=\"{}[]0123456789abzGETPOST\x80\xff\x01";
  for (const auto& [name, text] : seeds()) {
    for (int turn = 0; turn < 60; ++turn) {
      std::string spoilt = turn % 4 == 0 ? text.substr(0, 1 + random() % text.size()) : text;
      for (int i = 0; i < 1 + turn % 3; ++i) {
        spoilt[random() % spoilt.size()] = letters[random() % letters.size()];
      }
      INFO(name << ": " << spoilt);
      CHECK(http_outcome(spoilt).broken.value_or("") == "");
    }
  }
}
