// The SQLite in use.
#include <fmt/format.h>

#include "core/store/sqlite_release.hpp"
#include "tools/doctor/checks.hpp"

namespace nestcup::doctor {

Checks sqlite_checks(const Bench&) {
  if (!has_wal_reset_race(sqlite_version_number())) {
    return {{"sqlite", Verdict::ok, fmt::format("SQLite {} is in order", sqlite_version()), ""}};
  }
  return {{"sqlite", Verdict::note, wal_reset_race_note(),
           "write to the store with nothing but nestcup and nestcupd (looking does no harm), and "
           "take the system's next SQLite"}};
}

}  // namespace nestcup::doctor
