#include "daemon/store/recorder.hpp"

#include <filesystem>
#include <future>
#include <mutex>

#include "tests/catch.hpp"
#include "tests/daemon/support.hpp"

using namespace nestcup;
using namespace nestcup::daemon;
using namespace nestcup::test;
using namespace std::chrono_literals;

namespace {

const std::vector<StoredProbe> probes{{"cup", ProbeRole::cup, "degC", "{}"}};

Reading reading(int number) {
  return {0, 1'000'000 + number * us_per_s / 2, 20.0 + 0.01 * number, 20.0 + 0.01 * number};
}

/// A recorder on a real store, and a second connection that reads what is on the disk.
class Desk {
 public:
  Desk()
      : recorder_(opened(StoreMode::write),
                  Log([this](LogLevel level, std::string_view text) { note(level, text); })) {}

  Recorder& recorder() { return recorder_; }
  std::vector<Reading> on_disk() {
    auto store = Store::open(folder_.path("bench.db"), StoreMode::read);
    REQUIRE(store);
    auto readings = store->readings(0, 1'000'000'000'000);
    REQUIRE(readings);
    return std::move(readings).value();
  }
  /// What was told so far.
  std::vector<std::string> told() {
    const std::lock_guard lock(mutex_);
    return told_;
  }

 private:
  Store opened(StoreMode mode) {
    auto store = Store::open(folder_.path("bench.db"), mode);
    REQUIRE(store);
    REQUIRE(store->register_probes(probes));
    return std::move(store).value();
  }
  void note(LogLevel level, std::string_view text) {
    const std::lock_guard lock(mutex_);
    told_.push_back(journal_line(level, text));
  }

  Folder folder_;
  std::mutex mutex_;
  std::vector<std::string> told_;
  Recorder recorder_;
};

}  // namespace

TEST_CASE("a reading is with the disk when the pace has passed, and not before it need be") {
  Desk desk;
  desk.recorder().set_pace(300ms);
  const auto begun = std::chrono::steady_clock::now();
  desk.recorder().add(reading(0));
  desk.recorder().add(reading(1));
  REQUIRE(becomes_true([&] { return desk.recorder().status().committed_readings == 2; }));
  CHECK(std::chrono::steady_clock::now() - begun >= 300ms);
  CHECK(desk.on_disk().size() == 2);
  const RecorderStatus status = desk.recorder().status();
  CHECK(status.commits == 1);  // both in one batch
  CHECK(status.held_readings == 0);
  CHECK(status.longest_commit_ms > 0.0);
}

TEST_CASE("a shorter pace holds for what waits already") {
  Desk desk;
  desk.recorder().set_pace(10min);
  desk.recorder().add(reading(0));
  std::this_thread::sleep_for(50ms);
  CHECK(desk.recorder().status().held_readings == 1);
  desk.recorder().set_pace(1ms);
  CHECK(becomes_true([&] { return desk.recorder().status().committed_readings == 1; }));
}

TEST_CASE("a job runs at once, behind the readings that came before it") {
  Desk desk;
  desk.recorder().set_pace(10min);
  std::vector<std::int64_t> counts;
  std::atomic<int> done = 0;
  const auto count = [&](Store& store) -> Result<void> {
    counts.push_back(store.reading_count().value());
    ++done;
    return {};
  };
  for (int i = 0; i < 5; ++i) desk.recorder().add(reading(i));
  desk.recorder().post(count);
  desk.recorder().add(reading(5));
  desk.recorder().post(count);
  desk.recorder().post(count);
  REQUIRE(becomes_true([&] { return done == 3; }));
  CHECK(counts == std::vector<std::int64_t>{5, 6, 6});
}

TEST_CASE("a job that fails with io is tried again, before anything behind it") {
  Desk desk;
  std::vector<int> order;
  std::atomic<bool> done = false;
  desk.recorder().post([&, attempt = 0](Store&) mutable -> Result<void> {
    order.push_back(1);
    if (++attempt < 2) return Error{Fault::io, "no room"};
    return {};
  });
  desk.recorder().post([&](Store&) -> Result<void> {
    order.push_back(2);
    done = true;
    return Error{Fault::usage, "its own affair"};
  });
  REQUIRE(becomes_true([&] { return done.load(); }));
  CHECK(order == std::vector<int>{1, 1, 2});
  CHECK(becomes_true([&] { return desk.recorder().status().error.empty(); }));
  CHECK(desk.recorder().status().failed_commits == 1);
  const std::vector<std::string> told = desk.told();
  REQUIRE(told.size() == 2);
  CHECK(told[0].find("no room") != std::string::npos);
  CHECK(told[0].substr(0, 3) == "<3>");
  CHECK(told[1].find("works again") != std::string::npos);
  CHECK(told[1].substr(0, 3) == "<6>");
}

TEST_CASE(
    "the writer moves every second without work and with a full disk, not in a call that hangs") {
  Desk desk;
  const auto moves_on = [&] {
    const auto before = desk.recorder().last_move();
    return becomes_true([&] { return desk.recorder().last_move() > before; });
  };
  CHECK(moves_on());
  std::atomic<bool> full = true;
  desk.recorder().post([&](Store&) -> Result<void> {
    if (full) return Error{Fault::io, "no room"};
    return {};
  });
  REQUIRE(becomes_true([&] { return desk.recorder().status().failed_commits > 0; }));
  CHECK(moves_on());
  full = false;

  std::promise<void> disk;
  std::atomic<bool> hangs = false;
  desk.recorder().post([&, answers = disk.get_future().share()](Store&) -> Result<void> {
    hangs = true;
    answers.wait();
    return {};
  });
  REQUIRE(becomes_true([&] { return hangs.load(); }));
  const auto stood = desk.recorder().last_move();
  CHECK(becomes_true([&] { return desk.recorder().status().silent_s > 1.2; }));
  CHECK(desk.recorder().last_move() == stood);
  disk.set_value();
  CHECK(becomes_true([&] { return desk.recorder().last_move() > stood; }));
}

TEST_CASE("stop commits what waits, with its events, however long the pace") {
  Desk desk;
  desk.recorder().set_pace(10min);
  for (int i = 0; i < 100; ++i) desk.recorder().add(reading(i));
  desk.recorder().add(StoredEvent{2'000'000, "mark", "{}"});
  bool ran = false;
  desk.recorder().post([&](Store& store) -> Result<void> {
    ran = store.events(0, 10'000'000).value().size() == 1;
    return {};
  });
  desk.recorder().stop(5s);
  CHECK(ran);
  CHECK(desk.recorder().status().lost_readings == 0);
  const std::vector<Reading> kept = desk.on_disk();
  REQUIRE(kept.size() == 100);
  for (int i = 0; i < 100; ++i) {
    CHECK(kept[static_cast<std::size_t>(i)].time_us == reading(i).time_us);
    CHECK(kept[static_cast<std::size_t>(i)].temperature_degC == reading(i).temperature_degC);
  }
}

TEST_CASE("a stop that cannot write gives up after its patience and counts what is lost") {
  Desk desk;
  desk.recorder().set_pace(10min);
  desk.recorder().post([](Store&) -> Result<void> { return Error{Fault::io, "no room"}; });
  for (int i = 0; i < 7; ++i) desk.recorder().add(reading(i));
  const auto begun = std::chrono::steady_clock::now();
  desk.recorder().stop(200ms);
  const auto took = std::chrono::steady_clock::now() - begun;
  CHECK(took >= 200ms);
  CHECK(took < 10s);
  CHECK(desk.recorder().status().lost_readings == 7);
  CHECK(desk.recorder().status().error == "no room");
  CHECK(desk.on_disk().empty());
}

TEST_CASE("what is held has a bound, and what falls out is the oldest, and counted") {
  Desk desk;
  desk.recorder().set_pace(10min);
  std::atomic<bool> room = false;
  desk.recorder().post([&](Store&) -> Result<void> {
    if (room) return {};
    return Error{Fault::io, "no room"};
  });
  // A writer that is still about its first try would have some readings in its own hands.
  for (int i = 0; i < 1000 && desk.recorder().status().error != "no room"; ++i) {
    std::this_thread::sleep_for(10ms);
  }
  REQUIRE(desk.recorder().status().error == "no room");
  const auto most = static_cast<int>(most_held_readings);
  for (int i = 0; i < most + 1; ++i) desk.recorder().add(reading(i));
  const RecorderStatus status = desk.recorder().status();
  CHECK(status.lost_readings == 1000);
  CHECK(status.held_readings == most_held_readings + 1 - 1000);
  room = true;
  REQUIRE(becomes_true([&] { return desk.recorder().status().held_readings == 0; }));
  const std::vector<Reading> kept = desk.on_disk();
  CHECK(kept.size() == most_held_readings + 1 - 1000);
  CHECK(kept.front().time_us == reading(1000).time_us);
  CHECK(kept.back().time_us == reading(most).time_us);
}

TEST_CASE("the log that a killed daemon left is moved into the file soon after the start") {
  const Folder folder;
  const std::string path = folder.path("bench.db");
  auto store = Store::open(path, StoreMode::write);
  REQUIRE(store);
  REQUIRE(store->register_probes(probes));
  std::vector<Reading> readings;
  for (int i = 0; i < 100; ++i) readings.push_back(reading(i));
  REQUIRE(store->add(readings, {}));
  // The file without its log.
  const auto in_file = [&] {
    const std::string copy = folder.path("copy.db");
    std::filesystem::copy_file(path, copy, std::filesystem::copy_options::overwrite_existing);
    return Store::open(copy, StoreMode::read).value().reading_count();
  };
  const auto before = in_file();
  REQUIRE((!before || *before == 0));
  const Recorder recorder(std::move(*store), Log());
  CHECK(becomes_true([&] {
    const auto count = in_file();
    return count && *count == 100;
  }));
}

TEST_CASE("a damaged store is left for another one, and nothing that waits is lost") {
  const Folder folder;
  const auto opened = [&](const std::string& name) {
    auto store = Store::open(folder.path(name), StoreMode::write);
    REQUIRE(store);
    REQUIRE(store->register_probes(probes));
    return std::move(store).value();
  };
  std::vector<std::string> damages;
  Recorder recorder(opened("old.db"), Log(), [&](const std::string& damage) -> Result<Store> {
    damages.push_back(damage);
    if (damages.size() == 1) return Error{Fault::io, "no room for a new one"};
    return opened("new.db");
  });
  recorder.set_pace(1ms);
  const std::string damage = "old.db: a page is no page; " + std::string(damage_advice);
  std::atomic<int> done = 0;
  recorder.post([&](Store& store) -> Result<void> {
    if (store.path().ends_with("old.db")) return Error{Fault::bad_data, damage};
    ++done;
    return {};
  });
  for (int i = 0; i < 5000; ++i) recorder.add(reading(i));
  REQUIRE(becomes_true([&] { return recorder.status().committed_readings == 5000; }));
  CHECK(done == 1);
  CHECK(recorder.status().has_store);
  recorder.stop(5s);
  CHECK(damages == std::vector<std::string>{damage, damage});
  CHECK(recorder.status().lost_readings == 0);
  auto kept = Store::open(folder.path("new.db"), StoreMode::read);
  REQUIRE(kept);
  CHECK(kept->reading_count().value() == 5000);
}

TEST_CASE("a bench begins without a store and writes what it held when there is one") {
  const Folder folder;
  std::atomic<bool> room = false;
  Recorder recorder(std::nullopt, Log(), [&](const std::string& damage) -> Result<Store> {
    CHECK(damage.empty());
    if (!room) return Error{Fault::io, "no room"};
    auto store = Store::open(folder.path("bench.db"), StoreMode::write);
    REQUIRE(store);
    REQUIRE(store->register_probes(probes));
    return store;
  });
  recorder.set_pace(1ms);
  for (int i = 0; i < 10; ++i) recorder.add(reading(i));
  REQUIRE(becomes_true([&] { return recorder.status().error == "no room"; }));
  CHECK_FALSE(recorder.status().has_store);
  CHECK(recorder.status().held_readings == 10);
  room = true;
  REQUIRE(becomes_true([&] { return recorder.status().committed_readings == 10; }));
  CHECK(recorder.status().error.empty());
}
