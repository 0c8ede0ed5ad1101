#include "core/store/sqlite_release.hpp"

#include <fmt/format.h>
#include <sqlite3.h>

namespace nestcup {

std::string sqlite_version() {
  return sqlite3_libversion();
}

int sqlite_version_number() {
  return sqlite3_libversion_number();
}

bool has_wal_reset_race(int version_number) {
  const int minor_release = version_number / 1000;
  if (minor_release == 3044) return version_number < 3'044'006;
  if (minor_release == 3050) return version_number < 3'050'007;
  return version_number >= 3'007'000 && version_number < 3'051'003;
}

std::string wal_reset_race_note() {
  return fmt::format(
      "SQLite {} can lose committed pages where two connections write at once "
      "(mended in 3.51.3); a store has one writer only, so that it is held",
      sqlite_version());
}

}  // namespace nestcup
