// A store's copy: of one moment, whole, and never in another's place.
#include "core/store/backup.hpp"

#include <sys/stat.h>

#include <atomic>
#include <thread>

#include "core/store/retention.hpp"
#include "tests/catch.hpp"
#include "tests/store/store_fixture.hpp"

using namespace nestcup;
using namespace nestcup::testing;

namespace {

void unheard(BackupStage, std::int64_t, std::int64_t) {}

/// Files in a folder.
std::vector<std::string> names_in(const std::string& folder) {
  std::vector<std::string> names;
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    names.push_back(entry.path().filename().string());
  }
  std::sort(names.begin(), names.end());
  return names;
}

void add_run(Store& store) {
  StoredRun run;
  run.id = "01935a3c-1111-7abc-8def-0000000012ab";
  run.first_us = 1000;
  run.last_us = 2000;
  run.status = "finished";
  run.record_json = R"({"id":"01935a3c-1111-7abc-8def-0000000012ab"})";
  take(store.add_run(run, {"finished", "", "bench", 111}));
}

}  // namespace

TEST_CASE("a copy is a store with all that the log held") {
  const TemporaryFolder folder;
  const bool compact = GENERATE(false, true);
  Store store = writer_at(folder.file("a.db"));
  take(store.add(numbered_readings(0, 5000), {}));  // in the log alone
  add_run(store);
  const auto facts = take(back_up({store.path(), folder.file("copy.db"), compact}, unheard));
  CHECK(facts.readings == 5000);
  CHECK(facts.runs == 1);
  CHECK(facts.revisions == 1);
  CHECK(facts.bytes ==
        static_cast<std::int64_t>(std::filesystem::file_size(folder.file("copy.db"))));
  Store copy = take(Store::open(folder.file("copy.db"), StoreMode::write));
  CHECK(take(copy.reading_count()) == 5000);
  CHECK(all_readings(copy).size() == 5000);
  CHECK(take(copy.runs()).size() == 1);
  CHECK(take(copy.integrity_problems()).empty());
  take(copy.register_probes(two_probes()));
  take(copy.add(numbered_readings(5000, 10), {}));
  CHECK(take(copy.reading_count()) == 5010);
  CHECK(take(store.reading_count()) == 5000);
}

TEST_CASE("a copy lies alone under its name, with the store's mode") {
  const TemporaryFolder folder, other;
  const Store store = writer_at(folder.file("a.db"));
  REQUIRE(chmod(store.path().c_str(), 0640) == 0);
  // What a cut-off program left is taken over.
  write_bytes(other.file(".copy.db.part"), std::string(100'000, 'x'));
  take(back_up({store.path(), other.file("copy.db"), false}, unheard));
  CHECK(names_in(other.path()) == std::vector<std::string>{"copy.db"});
  struct stat about {};
  REQUIRE(stat(other.file("copy.db").c_str(), &about) == 0);
  CHECK((about.st_mode & 07777) == 0640);
}

TEST_CASE("readings that come meanwhile neither hold the copy up nor tear it") {
  const TemporaryFolder folder;
  Store store = writer_at(folder.file("a.db"));
  take(store.add(numbered_readings(0, 600'000), {}));
  // A batch at each look at the progress, and more from a thread that never rests.
  std::atomic<bool> done{false};
  std::atomic<int> written{600'000};
  std::thread writer([&] {
    while (!done) {
      take(store.add(numbered_readings(written, 50), {}));
      written += 50;
    }
  });
  int looks = 0;
  const auto facts = back_up({store.path(), folder.file("copy.db"), false},
                             [&](BackupStage stage, std::int64_t copied, std::int64_t total) {
                               if (stage != BackupStage::copying) return;
                               ++looks;
                               CHECK(copied <= total);
                               const int before = written;
                               while (written == before) std::this_thread::yield();
                             });
  done = true;
  writer.join();
  REQUIRE(facts.ok());
  CHECK(looks >= 2);
  CHECK(facts->readings >= 600'000);
  CHECK(facts->readings < written);
  const Store copy = take(Store::open(folder.file("copy.db"), StoreMode::read));
  // The readings of one moment: the first so many, and nothing else.
  const auto readings = all_readings(copy);
  CHECK(static_cast<std::int64_t>(readings.size()) == facts->readings);
  CHECK(readings.back().time_us ==
        numbered_readings(static_cast<int>(readings.size()) - 1, 1).front().time_us);
}

TEST_CASE("nothing is copied onto what is there") {
  const TemporaryFolder folder;
  const Store store = writer_at(folder.file("a.db"));
  write_bytes(folder.file("copy.db"), "somebody's");
  const auto refused = back_up({store.path(), folder.file("copy.db"), false}, unheard);
  REQUIRE_FALSE(refused.ok());
  CHECK(refused.error().kind == Fault::cannot_create);
  CHECK(bytes_of(folder.file("copy.db")) == "somebody's");
  // Nor onto what comes there while it is made.
  const auto late = back_up({store.path(), folder.file("late.db"), false},
                            [&](BackupStage, std::int64_t, std::int64_t) {
                              write_bytes(folder.file("late.db"), "somebody's");
                            });
  REQUIRE_FALSE(late.ok());
  CHECK(late.error().kind == Fault::cannot_create);
  CHECK(bytes_of(folder.file("late.db")) == "somebody's");
  const auto names = names_in(folder.path());
  CHECK(std::none_of(names.begin(), names.end(),
                     [](const std::string& name) { return name.ends_with(".part"); }));
}

TEST_CASE("two programs do not make the same copy at once") {
  const TemporaryFolder folder;
  const Store store = writer_at(folder.file("a.db"));
  std::optional<Fault> second;
  const auto first = back_up(
      {store.path(), folder.file("copy.db"), false}, [&](BackupStage, std::int64_t, std::int64_t) {
        if (second) return;
        const auto also = back_up({store.path(), folder.file("copy.db"), false}, unheard);
        second = also.ok() ? Fault::usage : also.error().kind;
      });
  CHECK(first.ok());
  CHECK(second == Fault::try_later);
}

TEST_CASE("a damaged store gives no copy") {
  const TemporaryFolder folder;
  {
    Store store = writer_at(folder.file("a.db"));
    take(store.add(numbered_readings(0, 20'000), {}));
    take(store.checkpoint(true));
  }
  std::string bytes = bytes_of(folder.file("a.db"));
  for (std::size_t at = bytes.size() / 2; at < bytes.size() / 2 + 40'000; ++at) bytes[at] = 'x';
  write_bytes(folder.file("a.db"), bytes);
  const auto copied = back_up({folder.file("a.db"), folder.file("copy.db"), false}, unheard);
  REQUIRE_FALSE(copied.ok());
  CHECK(copied.error().kind == Fault::bad_data);
  const auto names = names_in(folder.path());
  CHECK(std::none_of(names.begin(), names.end(),
                     [](const std::string& name) { return name.find("copy") != name.npos; }));
}

TEST_CASE("a compact copy leaves freed pages out, and wants the store at rest") {
  const TemporaryFolder folder;
  Store store = writer_at(folder.file("a.db"));
  take(store.add(numbered_readings(0, 100'000), {}));
  const TimeUs last_us = numbered_readings(99'999, 1).front().time_us;
  const std::vector<Reading> late{{0, last_us + 10 * 86'400 * us_per_s, 20.0, 20.0}};
  take(store.add(late, {}));
  Retention retention = take(Retention::begin(store, last_us + 1));
  while (take(retention.step(store, 5000))) {
  }
  const auto plain = take(back_up({store.path(), folder.file("plain.db"), false}, unheard));
  const auto compact = take(back_up({store.path(), folder.file("compact.db"), true}, unheard));
  CHECK(plain.readings == 1);
  CHECK(compact.readings == 1);
  CHECK(compact.bytes < plain.bytes / 10);
  const Store copy = take(Store::open(folder.file("compact.db"), StoreMode::read));
  CHECK(take(Retention::pages(copy)).can_be_given_back);
  CHECK(take(Retention::pages(copy)).free == 0);
  const auto lock = take(StoreLock::take(store.path(), "nestcupd"));
  const auto held = back_up({store.path(), folder.file("held.db"), true}, unheard);
  REQUIRE_FALSE(held.ok());
  CHECK(held.error().kind == Fault::try_later);
  CHECK_THAT(held.error().text, ContainsSubstring("nestcupd"));
  CHECK(back_up({store.path(), folder.file("held.db"), false}, unheard).ok());
}
