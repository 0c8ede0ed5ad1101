#include "core/store/backup.hpp"

#include <fmt/format.h>
#include <sys/stat.h>

#include <algorithm>
#include <filesystem>
#include <map>
#include <optional>

#include "core/store/part_file.hpp"
#include "core/store/store_file.hpp"

namespace nestcup {

namespace {

/// Pages copied between two looks at the progress: some ten milliseconds.
constexpr int pages_a_step = 2048;
/// Steps of SQLite's virtual machine between two looks.
constexpr int machine_steps_a_look = 1'000'000;
/// Beyond the copy itself, so that a disk is not filled to its last byte.
constexpr std::uintmax_t spare_bytes = 4U << 20U;

using RowCounts = std::map<std::string, std::int64_t>;

/// Rows of every table.
Result<RowCounts> row_counts(const Database& database) {
  auto tables = database.prepare("SELECT name FROM sqlite_schema WHERE type = 'table'");
  if (!tables) return tables.error();
  RowCounts counts;
  for (auto row = tables->step();; row = tables->step()) {
    if (!row) return row.error();
    if (!*row) return counts;
    const std::string name = tables->text(0);
    const auto count = database.whole_answer(fmt::format("SELECT count(*) FROM \"{}\"", name));
    if (!count) return count.error();
    counts[name] = *count;
  }
}

Result<void> check_room(const std::string& copy, std::int64_t bytes) {
  std::error_code fault;
  const auto folder = std::filesystem::absolute(copy).parent_path();
  const auto room = std::filesystem::space(folder, fault);
  const auto needed = static_cast<std::uintmax_t>(bytes) + spare_bytes;
  if (fault || room.available >= needed) return {};  // what cannot be told will show
  constexpr double bytes_per_mb = 1e6;
  return Error{Fault::io,
               fmt::format("{}: there is no room for it: the copy needs {:.1f} MB, and "
                           "{} has {:.1f} MB free; name a place on another disk",
                           copy, static_cast<double>(needed) / bytes_per_mb, folder.string(),
                           static_cast<double>(room.available) / bytes_per_mb)};
}

/// What SQLite calls from time to time while a long statement runs.
struct Watcher {
  const BackupProgress& progress;
  BackupStage stage;
  const PartFile* part;  ///< that grows to at most `total` bytes; nullptr where none does
  std::int64_t total;
};

int look(void* context) {
  const auto& watcher = *static_cast<const Watcher*>(context);
  const std::int64_t done = watcher.part != nullptr ? watcher.part->bytes() : 0;
  watcher.progress(watcher.stage, std::min(done, watcher.total), watcher.total);
  return 0;
}

/// Copies the pages into `target`, which nobody else has open, as long as `source` keeps its
/// reading transaction.
Result<void> copy_pages(const Database& source, const Database& target,
                        const BackupProgress& progress) {
  sqlite3_backup* const backup =
      sqlite3_backup_init(target.handle(), "main", source.handle(), "main");
  if (backup == nullptr) return target.failed("copying");
  int code = SQLITE_OK;
  while (code == SQLITE_OK) {
    code = sqlite3_backup_step(backup, pages_a_step);
    const int total = sqlite3_backup_pagecount(backup);
    progress(BackupStage::copying, total - sqlite3_backup_remaining(backup), total);
  }
  sqlite3_backup_finish(backup);  // gives the same failure to `target`
  if (code == SQLITE_DONE) return {};
  return sqlite_error(code, sqlite3_system_errno(target.handle()), target.path(), "copying");
}

/// The store of this moment, page for page. @return its rows
Result<RowCounts> copy_as_it_is(const Database& source, const PartFile& part,
                                const BackupProgress& progress) {
  // Without locks, which network file systems may lack: the file is this process's alone.
  const auto target = Database::open(part.path(), file_address(part.path(), "nolock=1"),
                                     SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_URI);
  if (!target) return target.error();
  // It is brought to the disk as a whole at the end, and thrown away where it does not get there.
  if (auto set = target->run("PRAGMA journal_mode = OFF; PRAGMA synchronous = OFF"); !set) {
    return set.error();
  }
  if (auto begun = source.run("BEGIN; SELECT 1 FROM sqlite_schema"); !begun) return begun.error();
  if (auto copied = copy_pages(source, *target, progress); !copied) return copied.error();
  auto counts = row_counts(source);
  if (auto ended = source.run("COMMIT"); !ended) return ended.error();
  return counts;
}

/// So that a copy made by VACUUM can give free pages back, whatever the store can.
Result<void> let_copy_give_back(const Database& source) {
  if (auto set = source.run("PRAGMA query_only = OFF"); !set) return set;
  const auto kind = source.whole_answer("PRAGMA auto_vacuum");
  if (!kind) return kind.error();
  if (*kind == incremental_vacuum) return {};  // to say it again would write into the store
  return source.run("PRAGMA auto_vacuum = INCREMENTAL");
}

/// The store built anew. @return its rows
Result<RowCounts> copy_compact(const Database& source, const PartFile& part, std::int64_t bytes,
                               const BackupProgress& progress) {
  Watcher watcher{progress, BackupStage::copying, &part, bytes};
  sqlite3_progress_handler(source.handle(), machine_steps_a_look, look, &watcher);
  auto made = let_copy_give_back(source);
  if (made) {
    auto statement = source.prepare("VACUUM INTO ?");
    made = statement ? statement->bind(1, part.path()).run() : statement.error();
  }
  sqlite3_progress_handler(source.handle(), 0, nullptr, nullptr);
  if (!made) return made.error();
  return row_counts(source);
}

/// Who may read and write the store may do so with its copy.
mode_t mode_of(const std::string& store) {
  struct stat about {};
  constexpr mode_t owner_alone = 0600;
  constexpr mode_t no_programs = 0666;
  return ::stat(store.c_str(), &about) == 0 ? about.st_mode & no_programs : owner_alone;
}

Error unlike(const std::string& copy, std::string_view what) {
  return {Fault::bad_data, fmt::format("{}: the copy is not sound and was thrown away: {}; check "
                                       "the store (nestcup verify) and the disk, and try again",
                                       copy, what)};
}

Result<void> check_integrity(const Database& database, const std::string& copy,
                             const BackupProgress& progress) {
  Watcher watcher{progress, BackupStage::checking, nullptr, 0};
  sqlite3_progress_handler(database.handle(), machine_steps_a_look, look, &watcher);
  auto answer = database.answer("PRAGMA integrity_check");
  sqlite3_progress_handler(database.handle(), 0, nullptr, nullptr);
  if (!answer) return answer.error();
  if (*answer != "ok") return unlike(copy, *answer);
  return {};
}

Result<BackupFacts> check_copy(const PartFile& part, const std::string& copy,
                               const RowCounts& expected, const BackupProgress& progress) {
  const auto database = open_unchanging(part.path());
  if (!database) return database.error();
  if (auto whole = check_integrity(*database, copy, progress); !whole) return whole.error();
  auto counts = row_counts(*database);
  if (!counts) return counts.error();
  if (*counts != expected) return unlike(copy, "its tables have not as many rows as the store's");
  return BackupFacts{part.bytes(), (*counts)["reading"], (*counts)["run"], (*counts)["run_record"]};
}

}  // namespace

Result<BackupFacts> back_up(const BackupOrder& order, const BackupProgress& progress) {
  const auto source = open_for_reading(order.store);
  if (!source) return source.error();
  std::optional<StoreLock> lock;
  if (order.compact) {
    auto taken = StoreLock::take(order.store, "nestcup");
    if (!taken) return taken.error();
    lock = std::move(taken).value();
  }
  auto part = PartFile::beside(order.copy);
  if (!part) return part.error();
  const auto pages = source->whole_answer("PRAGMA page_count");
  const auto page_size = source->whole_answer("PRAGMA page_size");
  if (!pages) return pages.error();
  if (!page_size) return page_size.error();
  const std::int64_t bytes = *pages * *page_size;
  if (auto room = check_room(order.copy, bytes); !room) return room.error();
  const auto counts = order.compact ? copy_compact(*source, *part, bytes, progress)
                                    : copy_as_it_is(*source, *part, progress);
  if (!counts) return counts.error();
  auto facts = check_copy(*part, order.copy, *counts, progress);
  if (!facts) return facts;
  if (auto named = part->give_name(mode_of(order.store)); !named) return named.error();
  return facts;
}

}  // namespace nestcup
