// bench_pool [BENCHES [REPEATS [FOLDER]]]: how long nestcup pool takes over the stores of a large
// class, beside reading these stores alone. The runs' figures are drawn from the heat balance; one
// simulated record is the pattern for all, so that each has the size that records have. Every bench
// has a sheet of its own and some have a mishap. The stores stay in FOLDER (new) if one is named.
#include <fmt/format.h>

#include <chrono>
#include <cstdlib>
#include <ctime>
#include <filesystem>
#include <map>

#include "core/store/store.hpp"
#include "tests/classroom/simulated_class.hpp"
#include "tests/tools/typed.hpp"

using namespace nestcup;
using namespace nestcup::classroom;

namespace {

namespace fs = std::filesystem;
using Watch = std::chrono::steady_clock;

double seconds_since(Watch::time_point begin) {
  return std::chrono::duration<double>(Watch::now() - begin).count();
}

std::vector<std::string> made_stores(const fs::path& folder, std::size_t benches, int repeats) {
  std::map<std::size_t, Mishap> mishaps;
  for (std::size_t i = 7; i < benches; i += 60) mishaps[i] = Mishap::dilute_bottle;
  for (std::size_t i = 9; i < benches; i += 60) mishaps[i] = Mishap::lid_off;
  const auto day = drawn_class(1, benches, mishaps, repeats);
  const Json like = simulated_record(day.front(), 2, 1);
  std::vector<std::string> paths;
  for (const DayBench& bench : day) {
    const ClassBench read = read_cheaply(bench, 1);
    std::vector<Json> records;
    for (std::size_t run = 0; run < read.runs.size(); ++run) {
      records.push_back(cheap_record(like, read, run));
      name_record(records.back(), bench.name, *class_sheet(), bench.runs[run].trial, 1);
    }
    paths.push_back(folder / (bench.name + ".db"));
    write_store(paths.back(), records, class_sheet()->text + "# " + bench.name + "\n");
  }
  return paths;
}

/// Opens each store and reads its runs and sheets.
std::size_t read_alone(const std::vector<std::string>& paths) {
  std::size_t bytes = 0;
  for (const std::string& path : paths) {
    const auto store = Store::open(path, StoreMode::read);
    const auto runs = store.value().runs();
    for (const StoredRun& run : runs.value()) bytes += run.record_json.size();
    const auto sheets = store.value().sheets();
    for (const StoredSheet& sheet : sheets.value()) bytes += sheet.text.size();
  }
  return bytes;
}

}  // namespace

int main(int count, char** words) {
  const std::size_t benches = count > 1 ? std::strtoul(words[1], nullptr, 10) : 200;
  const int repeats = count > 2 ? std::atoi(words[2]) : 2;
  std::string folder = fs::temp_directory_path() / "nestcup-bench-pool-XXXXXX";
  const bool is_kept = count > 3;
  if (is_kept) folder = words[3];
  if (is_kept ? !fs::create_directory(folder) : mkdtemp(folder.data()) == nullptr) return 73;
  const auto paths = made_stores(folder, benches, repeats);
  std::vector<std::string> call{"pool", "--json"};
  call.insert(call.end(), paths.begin(), paths.end());
  double reading_s = 1e9, pooling_s = 1e9, processor_s = 1e9;
  std::size_t bytes = 0;
  bool right = true;
  for (int pass = 0; pass < 5; ++pass) {
    auto begin = Watch::now();
    bytes = read_alone(paths);
    reading_s = std::min(reading_s, seconds_since(begin));
    begin = Watch::now();
    const std::clock_t processor = std::clock();
    right = testing::typed_words(call).code == 0 && right;
    pooling_s = std::min(pooling_s, seconds_since(begin));
    processor_s = std::min(processor_s, double(std::clock() - processor) / CLOCKS_PER_SEC);
  }
  if (!is_kept) fs::remove_all(folder);
  fmt::print("{} benches, {} runs, {:.1f} MB of records and sheets (least of 5)\n", benches,
             benches * 3 * static_cast<std::size_t>(repeats), 1e-6 * static_cast<double>(bytes));
  fmt::print("reading the stores alone {:8.3f} s\n", reading_s);
  fmt::print("nestcup pool --json      {:8.3f} s ({:.3f} s of processor time)\n", pooling_s,
             processor_s);
  fmt::print("ratio                    {:8.1f}\n", pooling_s / reading_s);
  return right ? 0 : 1;
}
