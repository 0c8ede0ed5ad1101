#include "core/report/words/record_words.hpp"

#include "tests/catch.hpp"

using namespace nestcup;

TEST_CASE("a record's English method is told in the report's language", "[words]") {
  const Texts english(Language::english), german(Language::german);
  for (const char* const key : {"method.course", "method.integral", "method.lines"}) {
    CHECK(method_in(english[key], german) == german[key]);
    CHECK(method_in(english[key], english) == english[key]);
  }
  CHECK(method_in("a method of later days", german) == "a method of later days");
}

TEST_CASE("a finding is told by its code, with its values as the language writes them", "[words]") {
  const Json finding{{"code", "short-foreperiod"},
                     {"severity", "warning"},
                     {"text", "as the record has it"},
                     {"values", {{"length_s", 12.53}}}};
  CHECK_THAT(finding_in(finding, Texts(Language::english)), ContainsSubstring("12.5 s"));
  CHECK_THAT(finding_in(finding, Texts(Language::german)), ContainsSubstring("12,5 s"));
  Json later = finding;
  later["code"] = "a-finding-of-later-days";
  CHECK(finding_in(later, Texts(Language::german)) == "as the record has it");
}
