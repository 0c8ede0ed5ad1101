#include "core/base/time_text.hpp"

#include <regex>
#include <string>

#include "tests/catch.hpp"

using namespace nestcup;

namespace {

/// The grammar and the restrictions of RFC 3339, sections 5.6 and 5.7, on a day that every month
/// and year has.
bool is_stamp_of_the_rfc(const std::string& text) {
  static const std::regex grammar(
      "\\d{4}-(0[1-9]|1[0-2])-(0[1-9]|1\\d|2[0-8])[Tt]([01]\\d|2[0-3]):[0-5]\\d:([0-5]\\d|60)"
      "(\\.\\d+)?([Zz]|[+-]([01]\\d|2[0-3]):[0-5]\\d)");
  return std::regex_match(text, grammar);
}

}  // namespace

TEST_CASE("RFC 3339 stamps, examples of RFC 3339 section 5.8") {
  // 1985-04-12T23:20:50.52Z and 1996-12-19T16:39:57-08:00 = 1996-12-20T00:39:57Z
  CHECK(rfc3339(482196050520000) == "1985-04-12T23:20:50.520Z");
  CHECK(parse_rfc3339("1985-04-12T23:20:50.52Z") == 482196050520000);
  CHECK(parse_rfc3339("1996-12-19T16:39:57-08:00") == parse_rfc3339("1996-12-20T00:39:57Z"));
  CHECK(rfc3339(0) == "1970-01-01T00:00:00.000Z");
}

TEST_CASE("what is no RFC 3339 stamp is refused") {
  for (const char* bad : {"", "2026-11-25", "2026-11-25T08:00:00", "2026-13-25T08:00:00Z",
                          "2026-02-30T08:00:00Z", "2026-11-25T24:00:00Z", "2026-11-25 08:00:00Z",
                          "2026-11-25T08:00:00+01", "20261125T080000Z"}) {
    INFO(bad);
    CHECK_FALSE(parse_rfc3339(bad).has_value());
  }
}

TEST_CASE("stamps with any one character changed, put in or left out: by the grammar of RFC 3339") {
  int taken = 0;
  int refused = 0;
  for (const std::string good : {"2026-11-25T08:15:30Z", "2026-11-25t08:15:30.250+01:30"}) {
    for (std::size_t at = 0; at <= good.size(); ++at) {
      for (const char* other :
           {"", "0", "1", "3", "6", "9", "/", ":", "-", "+", ".", "T", "z", " "}) {
        for (const std::size_t left_out : {0U, 1U}) {
          std::string text = good;
          text.replace(at, left_out, other);
          const bool wanted = is_stamp_of_the_rfc(text);
          // A 29th, 30th or 31st is not for the grammar alone.
          if (!wanted && text.substr(8, 2) > "28" && text.substr(8, 2) < "32") continue;
          INFO(text);
          CHECK(parse_rfc3339(text).has_value() == wanted);
          ++(wanted ? taken : refused);
        }
      }
    }
  }
  CHECK(taken > 50);
  CHECK(refused > 1000);
}

TEST_CASE("UUID version 7: the example of RFC 9562, appendix A.6") {
  // 017F22E2-79B0-7CC3-98C4-DC0C0C07398F is 2022-02-22T19:22:22Z, version 7, variant 10.
  const std::array<std::uint8_t, 10> random{0x0C, 0xC3, 0x18, 0xC4, 0xDC,
                                            0x0C, 0x0C, 0x07, 0x39, 0x8F};
  CHECK(uuid_v7(0x017F22E279B0, random) == "017f22e2-79b0-7cc3-98c4-dc0c0c07398f");
  CHECK(rfc3339(static_cast<TimeUs>(0x017F22E279B0) * 1000) == "2022-02-22T19:22:22.000Z");
}
