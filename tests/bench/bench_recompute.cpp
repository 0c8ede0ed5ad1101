// bench_recompute [RUNS]: how many stored runs nestcup recompute works out a second, on one thread
// and on two, with new revisions written; and whether both write the same ones. The store is
// temporary and holds simulated runs whose records an older analysis made.
#include "core/record/recompute_runs.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <stdexcept>

#include "tests/record/simulated_store.hpp"

using namespace nestcup;

namespace {

namespace fs = std::filesystem;
using Watch = std::chrono::steady_clock;

constexpr int passes = 2;

/// Seconds for all runs of a copy of the store.
double seconds_of(const std::string& pattern, const std::string& copy, int threads) {
  fs::copy_file(pattern, copy, fs::copy_options::overwrite_existing);
  auto store = Store::open(copy, StoreMode::write);
  if (!store) throw std::runtime_error(store.error().text);
  const auto runs = store->runs();
  if (!runs) throw std::runtime_error(runs.error().text);
  const auto begin = Watch::now();
  const auto done = recompute_runs(*store, *runs, std::nullopt, threads, [&](const auto& made) {
    return store_recomputed(*store, made, std::nullopt, {"recomputed", "", "bench", 1});
  });
  if (!done) throw std::runtime_error(done.error().text);
  return std::chrono::duration<double>(Watch::now() - begin).count();
}

/// Whether both stores hold the same revisions, and every run got one.
bool are_alike(const std::string& one, const std::string& other) {
  const auto a = Store::open(one, StoreMode::read), b = Store::open(other, StoreMode::read);
  const auto runs = a.value().runs().value(), others = b.value().runs().value();
  return std::equal(runs.begin(), runs.end(), others.begin(), others.end(),
                    [](const StoredRun& x, const StoredRun& y) {
                      return x.id == y.id && x.revision == 2 && y.revision == 2 &&
                             x.record_json == y.record_json;
                    });
}

bool measure(const fs::path& folder, int runs) {
  const std::string pattern = folder / "pattern.db";
  make_simulated_store(pattern, {runs, std::min(runs, 8), analysis_version - 1, ""});
  const std::array<std::string, 2> copies{folder / "one.db", folder / "two.db"};
  std::array<double, 2> least_s{1e9, 1e9};
  for (int pass = 0; pass < passes; ++pass) {
    for (std::size_t i = 0; i < copies.size(); ++i) {
      const double time_s = seconds_of(pattern, copies[i], static_cast<int>(i) + 1);
      least_s[i] = std::min(least_s[i], time_s);
    }
  }
  fmt::print("{} runs, {} processors (least of {})\n", runs, usual_recompute_threads(), passes);
  fmt::print("one thread   {:8.1f} runs/s\n", runs / least_s[0]);
  fmt::print("two threads  {:8.1f} runs/s\n", runs / least_s[1]);
  fmt::print("ratio        {:8.2f}\n", least_s[0] / least_s[1]);
  const bool alike = are_alike(copies[0], copies[1]);
  if (!alike) fmt::print("the revisions differ\n");
  return alike;
}

}  // namespace

int main(int count, char** words) {
  const int runs = count > 1 ? std::atoi(words[1]) : 200;
  std::string folder = fs::temp_directory_path() / "nestcup-bench-recompute-XXXXXX";
  if (runs < 1) return 64;
  if (mkdtemp(folder.data()) == nullptr) return 73;
  const bool alike = measure(folder, runs);
  fs::remove_all(folder);
  return alike ? 0 : 1;
}
