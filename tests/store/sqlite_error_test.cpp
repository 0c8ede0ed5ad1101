// What is said of SQLite's result codes (https://www.sqlite.org/rescode.html) and of the system's
// error numbers (errno(3)): the kind of failure, and what to try.
#include <sqlite3.h>

#include <cerrno>
#include <string>

#include "core/store/database.hpp"
#include "core/store/system_reason.hpp"
#include "tests/catch.hpp"
#include "tests/store/store_fixture.hpp"

using namespace nestcup;
using namespace nestcup::testing;

namespace {

struct Said {
  int code;
  int number;
  Fault kind;
  const char* part;
};

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("each result code of SQLite is told with its kind and with what to try") {
  const TemporaryFolder folder;
  const std::string path = folder.file("gone") + "/a.db";
  for (const Said& said : {
           Said{SQLITE_FULL, 0, Fault::io, "make room on the disk"},
           Said{SQLITE_NOTADB, 0, Fault::bad_data, "set the file aside"},
           Said{SQLITE_CORRUPT_INDEX, EIO, Fault::bad_data, "set the file aside"},
           Said{SQLITE_CONSTRAINT_UNIQUE, 0, Fault::bad_data, "please report it"},
           Said{SQLITE_MISMATCH, 0, Fault::bad_data, "please report it"},
           Said{SQLITE_BUSY_SNAPSHOT, 0, Fault::try_later, "another program holds it"},
           Said{SQLITE_LOCKED, 0, Fault::try_later, "another program holds it"},
           Said{SQLITE_PERM, 0, Fault::not_permitted, "check the rights"},
           Said{SQLITE_AUTH, 0, Fault::not_permitted, "check the rights"},
           Said{SQLITE_CANTOPEN, 0, Fault::cannot_create, "check the rights"},
           Said{SQLITE_CANTOPEN, EACCES, Fault::not_permitted, "check the rights"},
           Said{SQLITE_CANTOPEN, EMFILE, Fault::cannot_create, "check the rights"},
           Said{SQLITE_CANTOPEN, EDQUOT, Fault::io, "make room on the disk"},
           Said{SQLITE_IOERR_READ, EIO, Fault::io, "reading failed"},
           Said{SQLITE_IOERR_SHORT_READ, 0, Fault::io, "shorter than it should be"},
           Said{SQLITE_IOERR_WRITE, ENOSPC, Fault::io, "make room on the disk"},
           Said{SQLITE_IOERR_FSYNC, EIO, Fault::io, "check the disk"},
           Said{SQLITE_IOERR_TRUNCATE, EROFS, Fault::io, "check the rights"},
           Said{SQLITE_IOERR_SHMMAP, 0, Fault::io, "cannot be mapped"},
           Said{SQLITE_NOMEM, 0, Fault::io, "please report it"},
           Said{SQLITE_MISUSE, 0, Fault::io, "please report it"},
       }) {
    const Error error = sqlite_error(said.code, said.number, path, "storing");
    INFO(error.text);
    CHECK(error.kind == said.kind);
    CHECK(has(error.text, said.part));
    CHECK(has(error.text, path + ": storing failed"));
    CHECK(has(error.text, "SQLite code " + std::to_string(said.code)));
  }
}

TEST_CASE("a file that may be written by its rights is not said to lack them") {
  const TemporaryFolder folder;
  const std::string path = folder.file("a.db");
  take(Store::open(path, StoreMode::write));
  for (const auto& [code, number] : {std::pair{SQLITE_READONLY, 0}, {SQLITE_CANTOPEN, ENOENT}}) {
    const Error error = sqlite_error(code, number, path, "opening");
    CHECK(error.kind == Fault::io);
    CHECK(has(error.text, "though its rights permit it"));
  }
}

TEST_CASE("why a file cannot be opened, by the system's number") {
  for (const int number : {EACCES, EPERM, EROFS}) {
    CHECK(open_fault(number, Fault::no_input) == Fault::not_permitted);
    CHECK(has(std::string(advice_for_number(number, "else")), "rights"));
  }
  for (const int number : {ENOSPC, EDQUOT, EFBIG, EIO}) {
    CHECK(open_fault(number, Fault::no_input) == Fault::io);
  }
  for (const int number : {ENOSPC, EDQUOT}) {
    CHECK(advice_for_number(number, "else") == "make room on the disk");
  }
  CHECK(has(std::string(advice_for_number(EIO, "else")), "check the disk"));
  for (const int number : {0, ENOENT, EMFILE}) {
    CHECK(open_fault(number, Fault::no_input) == Fault::no_input);
    CHECK(advice_for_number(number, "else") == "else");
  }
}
