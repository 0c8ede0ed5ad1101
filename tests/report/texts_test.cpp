#include "core/report/words/texts.hpp"

#include <algorithm>
#include <set>
#include <stdexcept>
#include <string>

#include "core/analysis/run/findings.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

/// The words in braces, each once.
std::set<std::string> words_of(const std::string& text) {
  std::set<std::string> words;
  for (std::size_t open = text.find('{'); open != std::string::npos;
       open = text.find('{', open + 1)) {
    words.insert(text.substr(open + 1, text.find('}', open) - open - 1));
  }
  return words;
}

}  // namespace

TEST_CASE("Every text stands in every language, with the same words to fill in", "[texts]") {
  const Texts english(Language::english);
  REQUIRE_FALSE(text_keys().empty());
  for (const std::string& key : text_keys()) {
    // Notes come in English with the results themselves.
    if (key.rfind("note.", 0) == 0) continue;
    for (const Language language : languages) {
      const Texts texts(language);
      INFO(key << " in " << language_tag(language));
      REQUIRE_NOTHROW(texts[key]);
      CHECK_FALSE(texts[key].empty());
      CHECK(words_of(texts[key]) == words_of(english[key]));
    }
  }
}

TEST_CASE("A text that the catalogue lacks is a mistake that shows", "[texts]") {
  CHECK_THROWS_AS(Texts(Language::english)["period.none"], std::out_of_range);
  CHECK_FALSE(Texts(Language::english).has("period.none"));
}

TEST_CASE("Words are filled in by name", "[texts]") {
  const std::vector<TextValue> values{{"time", "62.1 s"}, {"unused", "x"}};
  CHECK(Texts(Language::english).fill("run_chart.mixing_time", values) == "mixing time 62.1 s");
  CHECK(Texts(Language::german).fill("run_chart.mixing_time", values) == "Mischzeitpunkt 62.1 s");
}

TEST_CASE("Numbers are written as the language has them", "[texts]") {
  CHECK(Texts(Language::english).number("-6.21 K") ==
        "\xE2\x88\x92"
        "6.21 K");
  CHECK(Texts(Language::german).number("-6.21 \xC2\xB1 0.05 kJ/mol") ==
        "\xE2\x88\x92"
        "6,21 \xC2\xB1 0,05 kJ/mol");
  CHECK(Texts(Language::german).number("run-3.svg") == "run-3.svg");
}

TEST_CASE("Languages go by their tags", "[texts]") {
  CHECK(language_from_tag("de") == Language::german);
  CHECK(language_tag(Language::english) == "en");
  CHECK_FALSE(language_from_tag("DE-x").has_value());
}

TEST_CASE("Every finding has its text, the English one as in the record", "[texts]") {
  const Texts english(Language::english);
  for (const std::string& code : finding_codes()) {
    INFO(code);
    REQUIRE(english.has("finding." + code));
    CHECK(english["finding." + code] == finding_text({code, Severity::note, {}}));
  }
}
