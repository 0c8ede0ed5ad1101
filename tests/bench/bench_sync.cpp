// bench_sync [--charts] [RUNS [LATER...]]: how fast finished runs are carried into a notebook
// folder, beside copying the same files, and whether a run costs more where many are there already.
//
// RUNS (1000) are carried into an empty folder; then cp -r copies that folder (nothing flushed),
// and so does a loop that flushes each file and folder to the disk (fsync), as carrying does. With
// 0, RUNS and LATER runs in store and folder, 100 more are carried in one pass (nestcup sync), and
// 20 more in a pass each (a daemon, as runs end). --charts draws each run's charts, as is usual;
// without them the figures are those of the way itself. Fails where a run was not carried.
#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <optional>
#include <stdexcept>
#include <string>
#include <vector>

#include "core/notebook/carrier.hpp"
#include "tests/record/simulated_store.hpp"

using namespace nestcup;

namespace {

namespace fs = std::filesystem;
using Watch = std::chrono::steady_clock;

constexpr int together = 100;
constexpr int alone = 20;

double seconds_since(Watch::time_point begin) {
  return std::chrono::duration<double>(Watch::now() - begin).count();
}

template <class T>
T needed(Result<T> result) {
  if (!result) throw std::runtime_error(result.error().text);
  return std::move(result).value();
}

class Carrying {
 public:
  Carrying(const fs::path& folder, int runs, bool charts)
      : settings_{"folder", folder / "notebook"}, charts_(charts), store_(made(folder, runs)) {
    const std::vector<std::string> names{notebook_name(settings_)};
    if (auto used = Outbox(store_).use_notebooks(names, 1); !used) {
      throw std::runtime_error(used.error().text);
    }
  }

  /// A pass that ends behind so many. @return how long it took, s
  double pass(int most) {
    const auto begin = Watch::now();
    const auto head = needed(Chain(store_).head());
    const auto notebook = needed(open_notebook(settings_, book_mark(head.book)));
    StoreNotes notes(store_);
    CarryOptions options;
    options.entry.charts = charts_;
    options.now_us = [] { return TimeUs{1'790'000'000'000'000}; };
    int begun = 0;
    options.go_on = [&] { return begun++ < most; };
    const CarryCount count = needed(carry(store_, *notebook, notes, options));
    if (count.carried != most || !count.failure.empty() || !count.remarks.empty()) {
      throw std::runtime_error(
          fmt::format("{} of {} carried {}", count.carried, most, count.failure));
    }
    return seconds_since(begin);
  }

  [[nodiscard]] std::string notebook() const { return settings_.target; }

 private:
  static Store made(const fs::path& folder, int runs) {
    SimulatedStore wanted;
    wanted.runs = runs;
    wanted.kinds = 2;
    wanted.login = "";
    make_simulated_store(folder / "bench.db", wanted);
    return needed(Store::open(folder / "bench.db", StoreMode::write));
  }

  NotebookSettings settings_;
  bool charts_;
  Store store_;
};

void flush(const fs::path& path, int flags) {
  const int file = open(path.c_str(), flags | O_CLOEXEC);
  if (file < 0 || fsync(file) != 0) throw std::runtime_error(path.string() + ": not flushed");
  close(file);
}

/// Copies a folder's folders and files, each flushed to the disk.
double copied_and_flushed(const fs::path& from, const fs::path& to) {
  const auto begin = Watch::now();
  fs::create_directory(to);
  for (const auto& entry : fs::recursive_directory_iterator(from)) {
    const fs::path target = to / fs::relative(entry.path(), from);
    if (entry.is_directory()) {
      fs::create_directory(target);
      continue;
    }
    fs::copy_file(entry.path(), target);
    flush(target, O_WRONLY);
  }
  for (const auto& entry : fs::recursive_directory_iterator(to)) {
    if (entry.is_directory()) flush(entry.path(), O_RDONLY | O_DIRECTORY);
  }
  flush(to, O_RDONLY | O_DIRECTORY);
  return seconds_since(begin);
}

double copied(const fs::path& from, const fs::path& to) {
  const auto begin = Watch::now();
  const std::string call = fmt::format("cp -r '{}' '{}'", from.string(), to.string());
  if (std::system(call.c_str()) != 0) throw std::runtime_error("cp failed");
  return seconds_since(begin);
}

double megabytes(const fs::path& folder) {
  double bytes = 0.0;
  for (const auto& entry : fs::recursive_directory_iterator(folder)) {
    if (entry.is_regular_file()) bytes += static_cast<double>(entry.file_size());
  }
  return 1e-6 * bytes;
}

void say(const char* what, int runs, double took_s) {
  fmt::print("{:<34} {:9.2f} s {:9.1f} runs/s\n", what, took_s, runs / took_s);
}

void beside_copying(const fs::path& folder, const Carrying& carrying, int runs, double took_s) {
  fmt::print("{} runs, {:.1f} MB\n", runs, megabytes(carrying.notebook()));
  say("carried", runs, took_s);
  const double flushed_s = copied_and_flushed(carrying.notebook(), folder / "flushed");
  const double plain_s = copied(carrying.notebook(), folder / "plain");
  say("copied, each file flushed (fsync)", runs, flushed_s);
  say("copied by cp -r, nothing flushed", runs, plain_s);
  fmt::print("carried / copied and flushed {:.2f}, carried / cp -r {:.1f}\n", took_s / flushed_s,
             took_s / plain_s);
  fs::remove_all(folder / "flushed");
  fs::remove_all(folder / "plain");
}

struct PerRun {
  double together_s = 0.0;
  double alone_s = 0.0;
};

/// What a run more costs; as the second of the levels, also what all before it took.
PerRun measure(const fs::path& folder, bool charts, int level, bool beside) {
  fs::create_directory(folder);
  Carrying carrying(folder, level + together + alone, charts);
  const double before_s = level > 0 ? carrying.pass(level) : 0.0;
  if (beside) beside_copying(folder, carrying, level, before_s);
  PerRun found{carrying.pass(together) / together, 0.0};
  for (int i = 0; i < alone; ++i) found.alone_s += carrying.pass(1) / alone;
  fs::remove_all(folder);
  return found;
}

void measure_all(const fs::path& folder, bool charts, const std::vector<int>& levels) {
  std::optional<PerRun> first;
  for (const int level : levels) {
    const PerRun found = measure(folder / "bench", charts, level, level == levels[1]);
    if (!first) first = found;
    fmt::print(
        "{:5} there: {:7.2f} ms a run in one pass (x {:.2f}), {:7.2f} ms in a pass each "
        "(x {:.2f})\n",
        level, 1e3 * found.together_s, found.together_s / first->together_s, 1e3 * found.alone_s,
        found.alone_s / first->alone_s);
    std::fflush(stdout);
  }
}

}  // namespace

int main(int count, char** words) {
  std::vector<std::string> given(words + 1, words + count);
  const bool charts = !given.empty() && given.front() == "--charts";
  if (charts) given.erase(given.begin());
  std::vector<int> levels{0};
  for (const std::string& word : given) levels.push_back(std::atoi(word.c_str()));
  if (levels.size() == 1) levels.push_back(1000);
  std::string folder = fs::temp_directory_path() / "nestcup-bench-sync-XXXXXX";
  if (mkdtemp(folder.data()) == nullptr) return 73;
  int code = 0;
  try {
    measure_all(folder, charts, levels);
  } catch (const std::exception& fault) {
    fmt::print(stderr, "bench_sync: {}\n", fault.what());
    code = 1;
  }
  fs::remove_all(folder);
  return code;
}
