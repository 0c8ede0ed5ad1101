// A disk that is full, and one that does not take what is written.
#include <fcntl.h>
#include <sched.h>
#include <sys/mount.h>
#include <sys/resource.h>
#include <sys/syscall.h>

#include <atomic>
#include <cerrno>

#include "tests/catch.hpp"
#include "tests/store/faults/child.hpp"
#include "tests/store/store_fixture.hpp"

using namespace nestcup;
using namespace nestcup::testing;

namespace {

std::atomic<int> syncs_to_fail{0};  ///< the next so many fail; negative: all
std::atomic<int> syncs_done{0};

constexpr int not_permitted_here = 42;

/// Adds batches until one fails for good: a failed write alone makes the store open its file anew,
/// which moves the log and may make room. @return the first number of the batch that failed
int add_until_failure(Store& store, Fault& kind) {
  for (int first = 0; first < 1'000'000; first += 500) {
    const auto readings = numbered_readings(first, 500);
    if (store.add(readings, {}).ok()) continue;
    const auto again = store.add(readings, {});
    if (again.ok()) continue;
    kind = again.error().kind;
    return first;
  }
  return -1;
}

/// Fills the store's disk, makes room again, and repeats. @return 0 where all is as it should be
int through_a_full_disk(const std::string& path, const std::function<void()>& fill,
                        const std::function<void()>& make_room) {
  Store store = writer_at(path);
  fill();
  Fault kind = Fault::usage;
  const int failed_at = add_until_failure(store, kind);
  if (failed_at < 0) return 1;
  if (kind != Fault::io) return 2;
  if (take(Store::open(path, StoreMode::read)).reading_count().value() != failed_at) return 3;
  make_room();
  if (!store.add(numbered_readings(failed_at, 500), {}).ok()) return 4;
  if (take(store.reading_count()) != failed_at + 500) return 5;
  if (static_cast<int>(all_readings(store).size()) != failed_at + 500) return 6;
  if (!take(store.integrity_problems()).empty()) return 7;
  return take(store.checkpoint(true)).log_pages == 0 ? 0 : 8;
}

void limit_file_size(rlim_t bytes) {
  rlimit limit{};
  getrlimit(RLIMIT_FSIZE, &limit);
  limit.rlim_cur = std::min(bytes, limit.rlim_max);
  setrlimit(RLIMIT_FSIZE, &limit);
}

/// Fills the file system of `path` to the last byte.
void fill_up(const std::string& path) {
  const int file = open(path.c_str(), O_WRONLY | O_CREAT | O_CLOEXEC, 0600);
  const std::string block(4096, 'x');
  while (write(file, block.data(), block.size()) > 0) {
  }
  close(file);
}

}  // namespace

/// Stands before the system's function, so that the tests can make a sync fail.
extern "C" int fdatasync(int descriptor) {
  const int left = syncs_to_fail.load();
  if (left != 0) {
    if (left > 0) --syncs_to_fail;
    errno = EIO;
    return -1;
  }
  ++syncs_done;
  return static_cast<int>(syscall(SYS_fdatasync, descriptor));
}

TEST_CASE("a limit on the size of files: nothing lost or doubled once it is lifted") {
  const TemporaryFolder folder;
  Child child([&] {
    std::signal(SIGXFSZ, SIG_IGN);
    return through_a_full_disk(
        folder.file("a.db"), [] { limit_file_size(400'000); },
        [] { limit_file_size(RLIM_INFINITY); });
  });
  CHECK(child.exit_code() == 0);
}

TEST_CASE("a full disk: nothing lost or doubled once there is room") {
  const TemporaryFolder folder;
  Child child([&] {
    // A small file system of its own, seen by this child only.
    if (unshare(CLONE_NEWNS) != 0 ||
        mount("none", "/", nullptr, MS_REC | MS_PRIVATE, nullptr) != 0 ||
        mount("tmpfs", folder.path().c_str(), "tmpfs", 0, "size=4m") != 0) {
      return not_permitted_here;
    }
    return through_a_full_disk(
        folder.file("a.db"), [&] { fill_up(folder.file("filler")); },
        [&] { std::filesystem::remove(folder.file("filler")); });
  });
  const int code = child.exit_code();
  if (code == not_permitted_here) {
    WARN("a small file system may not be mounted here; the size limit stands for it");
  } else {
    CHECK(code == 0);
  }
}

TEST_CASE("a sync that fails: the commit is refused, and repeating it stores it once") {
  const TemporaryFolder folder;
  Store store = writer_at(folder.file("a.db"));
  take(store.add(numbered_readings(0, 10), {}));
  for (int i = 1; i <= 5; ++i) {
    syncs_to_fail = 1;
    const auto refused = store.add(numbered_readings(10 * i, 10), {});
    REQUIRE_FALSE(refused.ok());
    CHECK(refused.error().kind == Fault::io);
    CHECK_THAT(refused.error().text, ContainsSubstring("SQLite code 1034"));
    syncs_done = 0;
    take(store.add(numbered_readings(10 * i, 10), {}));
    CHECK(syncs_done > 0);
    CHECK(take(store.reading_count()) == 10 * (i + 1));
  }
  CHECK(all_readings(store).size() == 60);
  CHECK(take(store.integrity_problems()).empty());
}

TEST_CASE("every sync fails for a while: nothing is taken as stored meanwhile") {
  const TemporaryFolder folder;
  Store store = writer_at(folder.file("a.db"));
  take(store.add(numbered_readings(0, 10), {}));
  syncs_to_fail = -1;
  for (int i = 0; i < 4; ++i) CHECK_FALSE(store.add(numbered_readings(10, 10), {}).ok());
  CHECK_FALSE(store.checkpoint(true).ok());
  syncs_to_fail = 0;
  syncs_done = 0;
  take(store.add(numbered_readings(10, 10), {}));
  CHECK(syncs_done > 0);
  CHECK(take(store.reading_count()) == 20);
  CHECK(all_readings(store).size() == 20);
  CHECK(take(store.integrity_problems()).empty());
}

TEST_CASE("each commit is on the disk when its call returns") {
  const TemporaryFolder folder;
  Store store = writer_at(folder.file("a.db"));
  take(store.add(numbered_readings(0, 1), {}));
  for (int i = 1; i <= 20; ++i) {
    syncs_done = 0;
    take(store.add(numbered_readings(i, 1), {}));
    CHECK(syncs_done >= 1);
  }
}
