// Which versions of SQLite can lose pages, against the release notes of 3.51.3.
#include "core/store/sqlite_release.hpp"

#include <fmt/format.h>

#include "tests/catch.hpp"

using namespace nestcup;

TEST_CASE("versions with the race of the log are told from those without") {
  struct Row {
    int number;
    bool has_race;
  };
  // https://www.sqlite.org/releaselog/3_51_3.html: "present in all versions since 3.7.0", mended in
  // 3.51.3, and in the patch releases 3.44.6 and 3.50.7.
  const Row row = GENERATE(
      Row{3'006'023, false}, Row{3'007'000, true}, Row{3'007'017, true}, Row{3'034'001, true},
      Row{3'040'001, true}, Row{3'044'000, true}, Row{3'044'005, true}, Row{3'044'006, false},
      Row{3'044'007, false}, Row{3'045'000, true}, Row{3'049'002, true}, Row{3'050'000, true},
      Row{3'050'006, true}, Row{3'050'007, false}, Row{3'050'008, false}, Row{3'051'000, true},
      Row{3'051'002, true}, Row{3'051'003, false}, Row{3'052'000, false}, Row{4'000'000, false});
  CAPTURE(row.number);
  CHECK(has_wal_reset_race(row.number) == row.has_race);
}

TEST_CASE("the library in use says the same version in words and as a number") {
  const int number = sqlite_version_number();
  CHECK(sqlite_version() ==
        fmt::format("{}.{}.{}", number / 1'000'000, number / 1000 % 1000, number % 1000));
}
