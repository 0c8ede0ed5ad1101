// A process that is killed while it commits: what it was told is stored is stored.
#include <sys/resource.h>

#include <chrono>
#include <random>
#include <thread>

#include "tests/catch.hpp"
#include "tests/store/faults/child.hpp"
#include "tests/store/store_fixture.hpp"

using namespace nestcup;
using namespace nestcup::testing;

namespace {

constexpr int batch = 20;

/// Commits batches for ever and writes the number of readings into the pipe after each.
int commit_for_ever(const std::string& path, int pipe_end) {
  Store store = writer_at(path);
  int count = static_cast<int>(take(store.reading_count()));
  for (int commits = 1;; ++commits) {
    take(store.add(numbered_readings(count, batch), {}));
    count += batch;
    if (write(pipe_end, &count, sizeof count) != sizeof count) return 1;
    if (commits % 7 == 0) take(store.checkpoint(commits % 2 == 0));
  }
}

/// The last number in the pipe once its writer is gone; `before` where there is none.
int last_told(int pipe_end, int before) {
  int count = before;
  for (int told = 0; read(pipe_end, &told, sizeof told) == sizeof told;) count = told;
  return count;
}

void check_prefix(const Store& store, int at_least) {
  CHECK(take(store.integrity_problems()).empty());
  const auto readings = all_readings(store);
  const auto count = static_cast<int>(readings.size());
  CHECK(count >= at_least);
  CHECK(count <= at_least + batch);  // the commit under way
  CHECK(count % batch == 0);
  CHECK(take(store.reading_count()) == count);
  const auto expected = numbered_readings(0, count);
  int wrong = 0;
  for (std::size_t i = 0; i < readings.size(); ++i) {
    if (readings[i].time_us != expected[i].time_us) ++wrong;
    if (readings[i].temperature_degC != expected[i].temperature_degC) ++wrong;
  }
  CHECK(wrong == 0);
}

}  // namespace

TEST_CASE("20 kills while committing lose nothing that was acknowledged") {
  const TemporaryFolder folder;
  const std::string path = folder.file("a.db");
  std::mt19937 random(11);
  int told = 0;
  for (int i = 0; i < 20; ++i) {
    int ends[2] = {-1, -1};
    REQUIRE(pipe(ends) == 0);
    {
      Child child([&] { return commit_for_ever(path, ends[1]); });
      close(ends[1]);
      const int wait_ms = std::uniform_int_distribution<int>(0, 60)(random);
      std::this_thread::sleep_for(std::chrono::milliseconds(wait_ms));
      child.kill_now();
    }
    told = last_told(ends[0], told);
    close(ends[0]);
    if (!std::filesystem::exists(path) || std::filesystem::file_size(path) == 0) continue;
    if (i % 2 == 0) check_prefix(take(Store::open(path, StoreMode::read)), told);
    const Store store = take(Store::open(path, StoreMode::write));
    check_prefix(store, told);
    told = static_cast<int>(take(store.reading_count()));
  }
  CHECK(told > 20 * batch);
}

TEST_CASE("a process killed while it makes a store leaves none behind that cannot be opened") {
  // The system kills who writes past the limit, so that each write in turn is the last one.
  const rlim_t step = 512;
  int killed = 0;
  for (rlim_t limit = step;; limit += step) {
    const TemporaryFolder folder;
    const std::string path = folder.file("a.db");
    Child child([&] {
      rlimit files{};
      getrlimit(RLIMIT_FSIZE, &files);
      files.rlim_cur = limit;
      setrlimit(RLIMIT_FSIZE, &files);
      return Store::open(path, StoreMode::write) ? 0 : 1;
    });
    const int code = child.exit_code();
    INFO("killed beyond byte " << limit);
    CHECK(code <= 0);
    const Store store = take(Store::open(path, StoreMode::write));
    CHECK(take(store.integrity_problems()).empty());
    CHECK(take(store.reading_count()) == 0);
    if (code == 0) break;
    ++killed;
  }
  CHECK(killed > 20);
}

TEST_CASE("a reader sees whole commits while another process writes") {
  const TemporaryFolder folder;
  const std::string path = folder.file("a.db");
  { const Store store = writer_at(path); }
  int ends[2] = {-1, -1};
  REQUIRE(pipe(ends) == 0);
  Child child([&] { return commit_for_ever(path, ends[1]); });
  close(ends[1]);
  const Store reader = take(Store::open(path, StoreMode::read));
  int told = 0;
  for (int i = 0; i < 200; ++i) {
    REQUIRE(read(ends[0], &told, sizeof told) == sizeof told);
    const auto count = static_cast<int>(all_readings(reader).size());
    REQUIRE(count >= told);
    REQUIRE(count % batch == 0);
    REQUIRE(take(reader.reading_count()) >= count);
  }
  close(ends[0]);
}
