// The recorder on a disk without room. In a program of its own: the limit on file sizes holds for
// the whole process, and with it nothing else could write either.
#include <sys/resource.h>

#include <csignal>
#include <cstdint>
#include <filesystem>

#include "daemon/store/recorder.hpp"
#include "tests/catch.hpp"
#include "tests/daemon/support.hpp"

using namespace nestcup;
using namespace nestcup::daemon;
using namespace nestcup::test;
using namespace std::chrono_literals;

namespace {

const std::vector<StoredProbe> probes{{"cup", ProbeRole::cup, "degC", "{}"}};

/// While it lives, no file of this process may grow beyond `size` bytes.
class NoRoom {
 public:
  explicit NoRoom(std::uintmax_t size = 0) {
    std::signal(SIGXFSZ, SIG_IGN);  // a write fails with EFBIG instead
    getrlimit(RLIMIT_FSIZE, &before_);
    const rlimit none{size, before_.rlim_max};
    setrlimit(RLIMIT_FSIZE, &none);
  }
  NoRoom(const NoRoom&) = delete;
  NoRoom& operator=(const NoRoom&) = delete;
  ~NoRoom() { setrlimit(RLIMIT_FSIZE, &before_); }

 private:
  rlimit before_{};
};

Store open_store(const std::string& path) {
  auto store = Store::open(path, StoreMode::write);
  REQUIRE(store);
  REQUIRE(store->register_probes(probes));
  return std::move(store).value();
}

std::int64_t stored(const std::string& path) {
  auto store = Store::open(path, StoreMode::read);
  REQUIRE(store);
  CHECK(store->integrity_problems().value().empty());
  return store->reading_count().value();
}

Reading reading(int number) {
  return {0, 1'000'000 + number, 20.0, 20.0};
}

}  // namespace

TEST_CASE("readings wait in memory while the disk is full and are written when there is room") {
  const Folder folder;
  const std::string path = folder.path("bench.db");
  Recorder recorder(open_store(path), Log());
  recorder.set_pace(1ms);
  {
    const NoRoom full;
    for (int i = 0; i < 500; ++i) recorder.add(reading(i));
    REQUIRE(becomes_true([&] { return recorder.status().failed_commits > 0; }));
    const RecorderStatus status = recorder.status();
    CHECK(status.held_readings == 500);
    CHECK_FALSE(status.error.empty());
  }
  REQUIRE(becomes_true([&] { return recorder.status().held_readings == 0; }));
  recorder.stop(5s);
  CHECK(recorder.status().error.empty());
  CHECK(recorder.status().lost_readings == 0);
  CHECK(stored(path) == 500);
}

TEST_CASE("where the log is all that fills the disk, its room is used again") {
  const Folder folder;
  const std::string path = folder.path("bench.db");
  Recorder recorder(open_store(path), Log());
  recorder.set_pace(1ms);
  const auto log_size = [&] { return std::filesystem::file_size(path + "-wal"); };
  int added = 0;
  const auto add_one = [&] {
    recorder.add(reading(added++));
    REQUIRE(becomes_true([&] { return recorder.status().held_readings == 0; }));
  };
  add_one();
  REQUIRE(becomes_true([&] { return recorder.status().log_pages > 0; }));  // behind the first
  add_one();
  const NoRoom full(log_size() + 100'000);
  while (recorder.status().failed_commits == 0) add_one();
  for (int more = 0; more < 3; ++more) add_one();
  CHECK(recorder.status().error.empty());
  recorder.stop(5s);
  CHECK(recorder.status().lost_readings == 0);
  CHECK(stored(path) == added);
}

TEST_CASE("a stop on a full disk says how many readings are lost and leaves a sound store") {
  const Folder folder;
  const std::string path = folder.path("bench.db");
  Recorder recorder(open_store(path), Log());
  recorder.set_pace(1ms);
  recorder.add(reading(0));
  REQUIRE(becomes_true([&] { return recorder.status().committed_readings == 1; }));
  {
    const NoRoom full;
    for (int i = 1; i < 11; ++i) recorder.add(reading(i));
    const auto begun = std::chrono::steady_clock::now();
    recorder.stop(300ms);
    CHECK(std::chrono::steady_clock::now() - begun < 10s);
  }
  CHECK(recorder.status().lost_readings == 10);
  CHECK(stored(path) == 1);
}
