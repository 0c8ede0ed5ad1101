// SQLite's result codes (https://www.sqlite.org/rescode.html) in words.
#include <fmt/format.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstring>
#include <utility>

#include "core/store/damage.hpp"
#include "core/store/database.hpp"
#include "core/store/system_reason.hpp"

namespace nestcup {

namespace {

struct CodeWords {
  int code;
  std::string_view words;
};

/// Extended codes whose primary text ("disk I/O error") hides what happened.
constexpr std::array<CodeWords, 10> extended_words{{
    {SQLITE_IOERR_READ, "reading failed"},
    {SQLITE_IOERR_SHORT_READ, "the file is shorter than it should be"},
    {SQLITE_IOERR_WRITE, "writing failed"},
    {SQLITE_IOERR_FSYNC, "the disk did not take what was written (fsync)"},
    {SQLITE_IOERR_TRUNCATE, "cutting the file failed"},
    {SQLITE_IOERR_SHMOPEN, "the shared memory file (-shm) cannot be opened"},
    {SQLITE_IOERR_SHMSIZE, "the shared memory file (-shm) cannot grow"},
    {SQLITE_IOERR_SHMMAP, "the shared memory file (-shm) cannot be mapped"},
    {SQLITE_IOERR_LOCK, "locking failed"},
    {SQLITE_IOERR_NOMEM, "memory ran out"},
}};

Fault fault_of(int primary_code, int system_errno) {
  switch (primary_code) {
    case SQLITE_NOTADB:
    case SQLITE_CORRUPT:
    case SQLITE_CONSTRAINT:
    case SQLITE_MISMATCH:
      return Fault::bad_data;
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
      return Fault::try_later;
    case SQLITE_READONLY:
    case SQLITE_PERM:
    case SQLITE_AUTH:
      return Fault::not_permitted;
    case SQLITE_CANTOPEN:
      return open_fault(system_errno, Fault::cannot_create);
    default:
      return Fault::io;
  }
}

/// @param system_errno  0 where the code tells all that is known
std::string_view advice_for(int primary_code, int system_errno) {
  switch (primary_code) {
    case SQLITE_FULL:
      return "make room on the disk";
    case SQLITE_NOTADB:
    case SQLITE_CORRUPT:
      return damage_advice;
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
      return "another program holds it; try again";
    case SQLITE_READONLY:
    case SQLITE_PERM:
    case SQLITE_AUTH:
    case SQLITE_CANTOPEN:
      return advice_for_number(system_errno, "check the rights on the file and its folder");
    case SQLITE_IOERR:
      return advice_for_number(system_errno, "check the disk and the system's log");
    default:
      return "this should not happen; please report it";
  }
}

}  // namespace

Error cannot_be_written(std::string_view path) {
  return {Fault::io,
          fmt::format("{}: cannot be opened for writing, though its rights permit it; check "
                      "whether the disk is full, and the system's log",
                      path)};
}

Error sqlite_error(int extended_code, int system_errno, std::string_view path,
                   std::string_view what) {
  const int primary_code = extended_code & 0xFF;
  const bool log_missing = primary_code == SQLITE_CANTOPEN && system_errno == ENOENT &&
                           access(std::string(path).c_str(), F_OK) == 0;
  if ((primary_code == SQLITE_READONLY || log_missing) &&
      rights_permit_writing(std::string(path))) {
    return cannot_be_written(path);
  }
  std::string reason = sqlite3_errstr(extended_code);
  for (const CodeWords& known : extended_words) {
    if (known.code == extended_code) reason += fmt::format(", {}", known.words);
  }
  if (system_errno != 0 && primary_code != SQLITE_NOTADB && primary_code != SQLITE_CORRUPT) {
    reason += fmt::format(", {}", std::strerror(system_errno));
  }
  return {fault_of(primary_code, system_errno),
          fmt::format("{}: {} failed: {} (SQLite code {}); {}", path, what, reason, extended_code,
                      advice_for(primary_code, system_errno))};
}

}  // namespace nestcup
