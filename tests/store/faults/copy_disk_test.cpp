// Copies onto a disk that has no room, or loses it half-way: nothing is left, and the store goes
// on.
#include <fcntl.h>
#include <sched.h>
#include <sys/mount.h>
#include <unistd.h>

#include "core/store/backup.hpp"
#include "tests/catch.hpp"
#include "tests/store/faults/child.hpp"
#include "tests/store/store_fixture.hpp"

using namespace nestcup;
using namespace nestcup::testing;

namespace {

constexpr int no_mounts_here = 42;
constexpr int many = 600'000;  ///< readings: 17 MB, some steps of a copy

/// A small file system of its own on a folder, seen by this process only.
bool mount_small(const std::string& folder, const char* size) {
  return unshare(CLONE_NEWNS) == 0 &&
         mount("none", "/", nullptr, MS_REC | MS_PRIVATE, nullptr) == 0 &&
         mount("tmpfs", folder.c_str(), "tmpfs", 0, size) == 0;
}

void take_all_room(const std::string& path) {
  const int file = open(path.c_str(), O_WRONLY | O_CREAT | O_CLOEXEC, 0600);
  const std::string block(4096, 'x');
  while (write(file, block.data(), block.size()) > 0) {
  }
  close(file);
}

bool is_empty_but_for(const std::string& folder, const std::string& name) {
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    if (entry.path().filename() != name) return false;
  }
  return true;
}

/// @return 0 where all is as it should be
int refused_before_it_begins(const std::string& store, const std::string& small) {
  if (!mount_small(small, "size=8m")) return no_mounts_here;
  int looks = 0;
  const auto copied = back_up({store, small + "/copy.db", false},
                              [&](BackupStage, std::int64_t, std::int64_t) { ++looks; });
  if (copied.ok() || copied.error().kind != Fault::io) return 1;
  if (copied.error().text.find("there is no room") == std::string::npos) return 2;
  return looks == 0 && is_empty_but_for(small, "") ? 0 : 3;
}

/// @return 0 where all is as it should be
int filled_half_way(const std::string& store, const std::string& small) {
  if (!mount_small(small, "size=28m")) return no_mounts_here;
  const BackupOrder order{store, small + "/copy.db", false};
  bool filled = false;
  const auto copied = back_up(order, [&](BackupStage, std::int64_t, std::int64_t) {
    if (!std::exchange(filled, true)) take_all_room(small + "/filler");
  });
  if (copied.ok() || copied.error().kind != Fault::io) return 1;
  if (copied.error().text.find("make room on the disk") == std::string::npos) return 2;
  if (!is_empty_but_for(small, "filler")) return 3;
  std::filesystem::remove(small + "/filler");
  const auto again = back_up(order, [](BackupStage, std::int64_t, std::int64_t) {});
  return again.ok() && again->readings == many ? 0 : 4;
}

void check_in_child(const std::function<int(const std::string&, const std::string&)>& test) {
  const TemporaryFolder folder;
  std::filesystem::create_directory(folder.file("small"));
  const std::string path = folder.file("a.db");
  // No connection may be carried into another process.
  take(writer_at(path).add(numbered_readings(0, many), {}));
  Child child([&] { return test(path, folder.file("small")); });
  const int code = child.exit_code();
  if (code == no_mounts_here) {
    WARN("a small file system may not be mounted here; tests/tools/backup_test.py stands for it");
  } else {
    CHECK(code == 0);
  }
  Store store = writer_at(path);
  take(store.add(numbered_readings(many, 10), {}));
  CHECK(take(store.reading_count()) == many + 10);
}

}  // namespace

TEST_CASE("a copy that has no room is refused before it begins") {
  check_in_child(refused_before_it_begins);
}

TEST_CASE("a disk that fills while a copy is made: nothing is left, and the next one succeeds") {
  check_in_child(filled_half_way);
}
