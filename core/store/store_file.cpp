#include "core/store/store_file.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <filesystem>

#include "core/store/damage.hpp"
#include "core/store/filesystem.hpp"
#include "core/store/schema.hpp"
#include "core/store/system_reason.hpp"

namespace nestcup {

namespace {

namespace fs = std::filesystem;

// Places in the header of an SQLite file (https://www.sqlite.org/fileformat2.html, section 1.3).
constexpr std::size_t header_size = 100;
constexpr std::string_view header_magic{"SQLite format 3\0", 16};
constexpr std::size_t page_size_at = 16;
constexpr std::size_t write_version_at = 18;
constexpr std::size_t read_version_at = 19;
constexpr std::size_t fractions_at = 21;
constexpr std::string_view fractions{"\x40\x20\x20", 3};
constexpr std::size_t application_id_at = 68;

std::string folder_of(const std::string& path) {
  return fs::absolute(path).parent_path().string();
}

Error unreadable(const std::string& path, int reason) {
  return {reason == EACCES || reason == EPERM ? Fault::not_permitted : Fault::io,
          fmt::format("{}: cannot be read: {}; check the rights", path, std::strerror(reason))};
}

/// The number that SQLite keeps at byte 68 of the header, big-endian.
std::int64_t application_id_of(std::string_view header) {
  std::int64_t id = 0;
  for (std::size_t i = 0; i < 4; ++i) {
    id = id * 256 + static_cast<unsigned char>(header[application_id_at + i]);
  }
  return id;
}

/// The first bytes of the file as they are on the disk. Read through SQLite's own descriptor:
/// closing another one on the same file would drop the locks of every connection of this process
/// (https://www.sqlite.org/howtocorrupt.html, section 2.2).
std::string header_of(const Database& database) {
  sqlite3_file* file = nullptr;
  sqlite3_file_control(database.handle(), "main", SQLITE_FCNTL_FILE_POINTER, &file);
  std::string header(header_size, '\0');
  if (file == nullptr || file->pMethods == nullptr) return {};
  const int code = file->pMethods->xRead(file, header.data(), static_cast<int>(header_size), 0);
  return code == SQLITE_OK ? header : std::string{};
}

/// What every SQLite file has at these places. SQLite itself answers some other values there with
/// words that do not say "damaged": that the file may not be written, for one.
bool is_sound(std::string_view header) {
  if (header.size() < header_size) return false;
  const auto byte = [&](std::size_t at) { return static_cast<unsigned char>(header[at]); };
  const unsigned page_size = byte(page_size_at) * 256U + byte(page_size_at + 1);
  const bool size_is_sound =
      page_size == 1 || (page_size >= 512 && (page_size & (page_size - 1)) == 0);
  const auto version_is_sound = [&](std::size_t at) { return byte(at) == 1 || byte(at) == 2; };
  return header.starts_with(header_magic) && size_is_sound && version_is_sound(write_version_at) &&
         version_is_sound(read_version_at) &&
         header.substr(fractions_at, fractions.size()) == fractions;
}

/// Looks at the bytes before SQLite does, so that a foreign or damaged file is never touched. The
/// mark is in the file itself, not only in its log: the first tables are made without a log.
Result<void> check_header(const Database& database) {
  const std::string header = header_of(database);
  if (!is_sound(header)) {
    return Error{Fault::bad_data,
                 fmt::format("{}: is no store, or its beginning is damaged; it was left as it is; "
                             "name another file, or {}",
                             database.path(), damage_advice)};
  }
  if (application_id_of(header) == store_application_id) return {};
  return Error{Fault::bad_data, fmt::format("{}: is a database of another program, not a store; it "
                                            "was left as it is; name another file, or {}",
                                            database.path(), damage_advice)};
}

/// Whether a file with bytes in it is there.
Result<bool> has_bytes(const std::string& path) {
  std::error_code fault;
  const fs::file_status status = fs::status(path, fault);
  if (status.type() == fs::file_type::not_found) return false;
  if (fault) return unreadable(path, fault.value());
  if (!fs::is_regular_file(status)) {
    return Error{Fault::bad_data, fmt::format("{}: is no plain file, expected a store", path)};
  }
  const auto size = fs::file_size(path, fault);
  if (fault) return unreadable(path, fault.value());
  return size > 0;
}

/// A log with commits beside a file that is empty or gone: SQLite would delete the log.
Result<void> check_log_has_file(const std::string& path, bool filled) {
  std::error_code fault;
  const auto size = fs::file_size(path + "-wal", fault);
  if (filled || fault || size == 0) return {};
  return Error{Fault::bad_data,
               fmt::format("{}: the file is empty or gone, but its log ({}-wal) is there; {}", path,
                           path, damage_advice)};
}

/// Settings of every connection. No memory mapping: a stray pointer could write the file through
/// it. Temporary tables in memory: a full /tmp would look like a full disk.
Result<void> set_common(const Database& database) {
  return database.run(
      "PRAGMA busy_timeout = 5000; PRAGMA mmap_size = 0; PRAGMA cell_size_check = ON; "
      "PRAGMA temp_store = MEMORY; PRAGMA trusted_schema = OFF; PRAGMA foreign_keys = ON");
}

/// Switches to the write-ahead log and makes sure of it: SQLite answers with the mode it has.
Result<void> use_log(const Database& database) {
  const auto mode = database.answer("PRAGMA journal_mode = WAL");
  if (!mode) return mode.error();
  if (*mode != "wal") {
    return Error{Fault::io, fmt::format("{}: cannot keep a write-ahead log here (journal mode is "
                                        "\"{}\"); put the store on a local disk",
                                        database.path(), *mode)};
  }
  return database.run("PRAGMA wal_autocheckpoint = 0; PRAGMA journal_size_limit = 67108864");
}

Result<void> prepare_for_writing(Database& database) {
  if (sqlite3_db_readonly(database.handle(), "main") == 1) {
    if (rights_permit_writing(database.path())) return cannot_be_written(database.path());
    return Error{Fault::not_permitted,
                 fmt::format("{}: may be read but not written; check the rights", database.path())};
  }
  if (auto set = set_common(database); !set) return set;
  if (auto set = database.run("PRAGMA synchronous = FULL"); !set) return set;
  if (auto known = check_schema(database); !known) return known;
  if (auto migrated = migrate(database); !migrated) return migrated;
  return use_log(database);
}

Result<void> prepare_for_reading(const Database& database) {
  if (auto set = set_common(database); !set) return set;
  if (auto set = database.run("PRAGMA query_only = ON"); !set) return set;
  return check_schema(database);
}

/// See has_room_for_index.
Result<void> check_room(const std::string& path) {
  if (has_room_for_index(folder_of(path))) return {};
  return Error{Fault::io, fmt::format("{}: the disk is full; make room on the disk", path)};
}

Result<Database> open_readable(const std::string& path, const std::string& target, int more_flags) {
  auto database =
      Database::open(path, target, SQLITE_OPEN_READONLY | SQLITE_OPEN_NOMUTEX | more_flags);
  if (!database) return database;
  database->checkpoint_on_close(false);
  if (auto own = check_header(*database); !own) return own.error();
  if (auto ready = prepare_for_reading(*database); !ready) return ready.error();
  return database;
}

/// For a full disk, on which the shared memory has no room: without it nobody else can look.
Result<Database> open_alone(const std::string& path) {
  auto database = Database::open(path, path, SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX);
  if (!database) return database;
  database->checkpoint_on_close(false);
  if (auto own = check_header(*database); !own) return own.error();
  // Before the first look at the log: then there is no -shm (https://www.sqlite.org/wal.html,
  // section 8).
  if (auto alone = database->run("PRAGMA locking_mode = EXCLUSIVE"); !alone) return alone.error();
  if (auto ready = prepare_for_reading(*database); !ready) return ready.error();
  return database;
}

/// Whether files can be made beside `path`, which a writer needs even for a store that is there.
Result<void> check_folder(const std::string& path) {
  const std::string folder = folder_of(path);
  if (const auto network = network_filesystem(folder)) {
    return Error{Fault::cannot_create,
                 fmt::format("{}: lies on a network file system ({}), where a store would get "
                             "damaged; put it on a local disk",
                             path, *network)};
  }
  if (faccessat(AT_FDCWD, folder.c_str(), W_OK | X_OK, AT_EACCESS) == 0) return {};
  const int reason = errno;
  const bool denied = reason == EACCES || reason == EPERM || reason == EROFS;
  return Error{denied ? Fault::not_permitted : Fault::cannot_create,
               fmt::format("{}: no store can be kept in the folder {}: {}; check its name and "
                           "rights",
                           path, folder, std::strerror(reason))};
}

}  // namespace

std::string file_address(const std::string& path, std::string_view parameter) {
  std::string address = "file:";
  for (const char c : fs::absolute(path).string()) {
    if (c == '%' || c == '?' || c == '#') {
      address += fmt::format("%{:02X}", static_cast<unsigned char>(c));
    } else {
      address += c;
    }
  }
  return fmt::format("{}?{}", address, parameter);
}

Result<Database> open_for_writing(const std::string& path) {
  if (auto usable = check_folder(path); !usable) return usable.error();
  if (auto room = check_room(path); !room) return room.error();
  const auto filled = has_bytes(path);
  if (!filled) return filled.error();
  if (auto whole = check_log_has_file(path, *filled); !whole) return whole.error();
  auto database =
      Database::open(path, path, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE | SQLITE_OPEN_NOMUTEX);
  if (!database) return database;
  database->checkpoint_on_close(false);  // not before it is known to be ours
  if (*filled) {
    if (auto own = check_header(*database); !own) return own.error();
  }
  if (auto ready = prepare_for_writing(*database); !ready) return ready.error();
  database->checkpoint_on_close(true);
  return database;
}

Result<Database> open_unchanging(const std::string& path) {
  return open_readable(path, file_address(path, "immutable=1"), SQLITE_OPEN_URI);
}

Result<Database> open_for_reading(const std::string& path) {
  const auto filled = has_bytes(path);
  if (!filled) return filled.error();
  if (!*filled) {
    return Error{fs::exists(path) ? Fault::bad_data : Fault::no_input,
                 fmt::format("{}: {}; check the name", path,
                             fs::exists(path) ? "is empty, expected a store" : "is not there")};
  }
  const auto network = network_filesystem(folder_of(path));
  const bool has_log = fs::exists(path + "-wal");
  if (network && has_log) {
    return Error{Fault::io,
                 fmt::format("{}: lies on a network file system ({}) with a log beside it; copy "
                             "both to a local disk and read them there",
                             path, *network)};
  }
  if (has_log && !has_room_for_index(folder_of(path))) return open_alone(path);
  // Where no file may be made beside it, SQLite reads a store only if told that nobody writes it.
  // A writer always has a log there.
  const bool nobody_writes = !has_log;
  if (!network) {
    auto database = open_readable(path, path, 0);
    if (database || database.error().kind == Fault::bad_data) return database;
    if (!nobody_writes && database.error().kind != Fault::io) return database;
    if (!nobody_writes) return open_alone(path);
  }
  return open_unchanging(path);
}

Result<Store::Checkpoint> move_log(Database& database, bool truncate) {
  const int mode = truncate ? SQLITE_CHECKPOINT_TRUNCATE : SQLITE_CHECKPOINT_PASSIVE;
  int log_pages = 0;
  int done_pages = 0;
  const int code =
      sqlite3_wal_checkpoint_v2(database.handle(), "main", mode, &log_pages, &done_pages);
  if (code != SQLITE_OK) {
    database.remember_failure();
    return database.failed("moving the log into the file");
  }
  return Store::Checkpoint{log_pages, done_pages};
}

}  // namespace nestcup
