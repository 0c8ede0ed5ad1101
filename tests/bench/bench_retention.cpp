// bench_retention [READINGS]: how long the steps are by which old readings leave a store of so many
// (default 5000000), beside the commits of a bench that goes on meanwhile; how long a copy takes,
// beside copying the file; and what it costs new readings that room can be given back. The store is
// temporary. Times are the machine's; ratios can be compared. Ends with 1 where a count is wrong.
#include <fcntl.h>
#include <fmt/format.h>
#include <sqlite3.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <stdexcept>
#include <vector>

#include "core/store/backup.hpp"
#include "core/store/retention.hpp"

using namespace nestcup;

namespace {

namespace fs = std::filesystem;
using Watch = std::chrono::steady_clock;

constexpr TimeUs begin_us = TimeUs{1'790'000'000'000'000};
constexpr TimeUs apart_us = 250'000;   ///< four readings a second
constexpr std::int64_t a_commit = 8;   ///< readings of two seconds, as the daemon commits them
constexpr std::int64_t a_step = 1000;  ///< as the daemon removes them
constexpr std::int64_t runs_apart = 10'000, run_length = 2'000;  ///< in readings

template <class T>
T needed(Result<T> result) {
  if (!result) throw std::runtime_error(result.error().text);
  return std::move(result).value();
}

void needed(const Result<void>& result) {
  if (!result) throw std::runtime_error(result.error().text);
}

double ms_of(const std::function<void()>& work) {
  const auto begun = Watch::now();
  work();
  return std::chrono::duration<double, std::milli>(Watch::now() - begun).count();
}

/// Median, 99th of a hundred, longest.
struct Times {
  std::vector<double> ms;

  [[nodiscard]] double at(double part) {
    std::sort(ms.begin(), ms.end());
    return ms.at(std::min(ms.size() - 1, static_cast<std::size_t>(part * ms.size())));
  }
  [[nodiscard]] std::string text() {
    return fmt::format("median {:.2f} ms, 99 % {:.2f} ms, longest {:.2f} ms", at(0.5), at(0.99),
                       at(1.0));
  }
};

void add(Store& store, std::int64_t first, std::int64_t count) {
  std::vector<Reading> readings;
  for (std::int64_t i = first; i < first + count; ++i) {
    const double value = 20.0 + static_cast<double>(i % 977) * 1e-3;
    readings.push_back({0, begin_us + i * apart_us, value, value});
  }
  needed(store.add(readings, {}));
}

Store new_store(const std::string& path) {
  Store store = needed(Store::open(path, StoreMode::write));
  const std::vector<StoredProbe> probes{{"cup", ProbeRole::cup, "degC", "{}"}};
  needed(store.register_probes(probes));
  return store;
}

/// So many readings, with a run every now and then.
Store filled_store(const std::string& path, std::int64_t count) {
  Store store = new_store(path);
  constexpr std::int64_t batch = 20'000;
  for (std::int64_t first = 0; first < count; first += batch) {
    add(store, first, std::min(batch, count - first));
  }
  for (std::int64_t first = runs_apart / 2; first + run_length < count; first += runs_apart) {
    StoredRun run;
    run.id = fmt::format("01935a3c-1111-7abc-8def-{:012d}", first);
    run.first_us = begin_us + first * apart_us;
    run.last_us = begin_us + (first + run_length - 1) * apart_us;
    run.status = "finished";
    run.record_json = "{}";
    needed(store.add_run(run, {"finished", "", "bench", 1}));
  }
  needed(store.checkpoint(true));
  return store;
}

/// Commits of two seconds' readings each, ms, from reading `next` on.
Times commits(Store& store, std::int64_t& next, int count) {
  Times times;
  for (int i = 0; i < count; ++i) {
    times.ms.push_back(ms_of([&] { add(store, next, a_commit); }));
    next += a_commit;
  }
  return times;
}

bool measure_removal(Store& store, std::int64_t count) {
  std::int64_t next = count + 4 * 24 * 3600 * 4;  // some days later
  Times alone = commits(store, next, 500);
  const std::int64_t before = needed(store.reading_count());
  const std::int64_t runs = static_cast<std::int64_t>(needed(store.runs()).size());
  Times steps, between, gives;
  std::int64_t removed = 0;
  const auto begun = Watch::now();
  Retention pass = needed(Retention::begin(store, begin_us + count * apart_us));
  for (bool more = true; more;) {
    std::optional<std::int64_t> done;
    steps.ms.push_back(ms_of([&] { done = needed(pass.step(store, a_step)); }));
    more = done.has_value();
    removed += done.value_or(0);
    between.ms.push_back(ms_of([&] { add(store, next, a_commit); }));
    next += a_commit;
    if (steps.ms.size() % 150 == 0) needed(store.checkpoint(false));
  }
  const double took_s = std::chrono::duration<double>(Watch::now() - begun).count();
  std::int64_t given = 0;
  for (std::int64_t step = 1; step > 0; given += step) {
    gives.ms.push_back(ms_of([&] { step = needed(Retention::give_back(store, 64)); }));
  }
  needed(store.checkpoint(true));
  fmt::print("commits of {} readings alone:      {}\n", a_commit, alone.text());
  fmt::print("steps of {} readings removed:    {}\n", a_step, steps.text());
  fmt::print("commits between the steps:        {}\n", between.text());
  fmt::print("steps of 64 pages given back:     {} ({} pages)\n", gives.text(), given);
  fmt::print("{} of {} readings removed in {:.1f} s, {} runs kept\n", removed, before, took_s,
             runs);
  fmt::print("a step by a commit alone: {:.1f} (medians), longest step by longest commit: {:.1f}\n",
             steps.at(0.5) / alone.at(0.5), steps.at(1.0) / alone.at(1.0));
  const std::int64_t added = static_cast<std::int64_t>(between.ms.size()) * a_commit;
  return removed == count - runs * run_length &&
         needed(store.reading_count()) == before + added - removed &&
         needed(store.integrity_problems()).empty();
}

bool measure_copy(const Store& store, const fs::path& folder) {
  const double plain_ms = ms_of([&] {
    fs::copy_file(store.path(), folder / "cp.db");
    const int file = ::open((folder / "cp.db").c_str(), O_RDONLY | O_CLOEXEC);
    ::fsync(file);
    ::close(file);
  });
  BackupFacts facts;
  const auto unheard = [](BackupStage, std::int64_t, std::int64_t) {};
  const double copy_ms = ms_of([&] {
    facts = needed(back_up({store.path(), folder / "copy.db", false}, unheard));
  });
  BackupFacts compact;
  const double compact_ms = ms_of([&] {
    compact = needed(back_up({store.path(), folder / "compact.db", true}, unheard));
  });
  fmt::print(
      "copying {:.1f} MB: file alone {:.2f} s; nestcup backup, checked {:.2f} s ({:.1f} "
      "times); --compact {:.2f} s ({:.1f} times)\n",
      static_cast<double>(facts.bytes) * 1e-6, plain_ms * 1e-3, copy_ms * 1e-3, copy_ms / plain_ms,
      compact_ms * 1e-3, compact_ms / plain_ms);
  const std::int64_t readings = needed(store.reading_count());
  return facts.readings == readings && compact.readings == readings;
}

/// CPU time that commits take in a store of either kind, s.
double commit_cpu_s(const std::string& path, bool gives_back, int count) {
  if (!gives_back) {  // as an earlier version began it
    sqlite3* handle = nullptr;
    sqlite3_open(path.c_str(), &handle);
    sqlite3_exec(handle, "PRAGMA application_id = 1852011888; CREATE TABLE t (a); DROP TABLE t",
                 nullptr, nullptr, nullptr);
    sqlite3_close(handle);
  }
  Store store = new_store(path);
  if (needed(Retention::pages(store)).can_be_given_back != gives_back) {
    throw std::runtime_error("the store is not of the kind that was meant");
  }
  std::int64_t next = 0;
  const std::clock_t begun = std::clock();
  commits(store, next, count);
  return static_cast<double>(std::clock() - begun) / CLOCKS_PER_SEC;
}

void measure_kinds(const fs::path& folder, std::int64_t readings) {
  const int count = static_cast<int>(std::min<std::int64_t>(readings / 100, 20'000));
  double with_s = 1e9, without_s = 1e9;
  for (int pass = 0; pass < 3; ++pass) {
    with_s = std::min(with_s, commit_cpu_s(folder / fmt::format("with{}.db", pass), true, count));
    without_s =
        std::min(without_s, commit_cpu_s(folder / fmt::format("without{}.db", pass), false, count));
  }
  fmt::print(
      "CPU of a commit: {:.0f} us where room can be given back, {:.0f} us where not ({:.2f} "
      "times)\n",
      with_s / count * 1e6, without_s / count * 1e6, with_s / without_s);
}

}  // namespace

int main(int argc, char** argv) {
  const std::int64_t count = argc > 1 ? std::atoll(argv[1]) : 5'000'000;
  std::string name = (fs::temp_directory_path() / "nestcup_retention_XXXXXX").string();
  if (count < 20'000 || mkdtemp(name.data()) == nullptr) return 64;
  bool good = false;
  try {
    Store store = filled_store(name + "/bench.db", count);
    fmt::print("{} readings, {:.1f} MB\n", count,
               static_cast<double>(fs::file_size(store.path())) * 1e-6);
    good = measure_copy(store, name);
    good = measure_removal(store, count) && good;
    measure_kinds(name, count);
    fmt::print("left: {:.1f} MB\n", static_cast<double>(fs::file_size(store.path())) * 1e-6);
  } catch (const std::exception& problem) {
    fmt::print(stderr, "bench_retention: {}\n", problem.what());
  }
  fs::remove_all(name);
  fmt::print("bench_retention: {}\n", good ? "all counts are right" : "failed");
  return good ? 0 : 1;
}
