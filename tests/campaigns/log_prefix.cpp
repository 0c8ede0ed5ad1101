// A store that a killed daemon left, its log cut and damaged everywhere: what the daemon's own code
// then opens must be whole, and a prefix of what was committed.
//
//   log_prefix FOLDER STEP
//
// FOLDER holds bench.db and bench.db-wal; the log is cut at every STEP bytes, and one byte is
// flipped in each of its frames, or in every (STEP / 512)th. Prints what it found as JSON; 1 where
// something was wrong.
#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <limits>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "core/store/chain.hpp"
#include "core/store/store.hpp"

namespace {

using namespace nestcup;
namespace fs = std::filesystem;

// https://www.sqlite.org/fileformat2.html, section 4.1.
constexpr std::size_t log_head = 32;
constexpr std::size_t frame_head = 24;
constexpr std::size_t page = 4096;

struct Held {
  std::vector<Reading> readings;
  std::vector<StoredRun> runs;
};

struct Counts {
  int cuts = 0;
  int flips = 0;
  std::size_t fewest = std::numeric_limits<std::size_t>::max();
  std::size_t most = 0;
  int wrong = 0;
};

std::string bytes_of(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
}

void write_bytes(const fs::path& path, const std::string& bytes) {
  std::ofstream(path, std::ios::binary | std::ios::trunc) << bytes;
}

/// What the store holds; the text of the failure where it is not whole.
Result<Held> held_in(const fs::path& path) {
  const auto store = Store::open(path, StoreMode::write);
  if (!store) return store.error();
  const auto problems = store->integrity_problems();
  if (!problems) return problems.error();
  if (!problems->empty()) return Error{Fault::bad_data, problems->front()};
  auto readings = store->readings(0, std::numeric_limits<TimeUs>::max());
  if (!readings) return readings.error();
  auto runs = store->runs();
  if (!runs) return runs.error();
  for (const StoredRun& run : *runs) {
    const auto record = nlohmann::json::parse(run.record_json, nullptr, false);
    if (!record.is_object() || record.value("id", "") != run.id) {
      return Error{Fault::bad_data, "the record of run " + run.id + " is not whole"};
    }
  }
  if (const auto head = Chain(*store).head(); !head) return head.error();
  return Held{std::move(*readings), std::move(*runs)};
}

bool is_prefix(const Held& part, const Held& whole) {
  if (part.readings.size() > whole.readings.size() || part.runs.size() > whole.runs.size()) {
    return false;
  }
  for (std::size_t i = 0; i < part.readings.size(); ++i) {
    const Reading &a = part.readings[i], &b = whole.readings[i];
    if (a.time_us != b.time_us || a.temperature_degC != b.temperature_degC) return false;
  }
  for (std::size_t i = 0; i < part.runs.size(); ++i) {
    if (part.runs[i].record_json != whole.runs[i].record_json) return false;
  }
  return true;
}

/// One store with this log. Counts it as wrong where it is no prefix.
void look(const fs::path& copy, const std::string& file, const std::string& log, const Held& whole,
          std::size_t at, Counts& counts) {
  fs::remove(copy.string() + "-shm");
  write_bytes(copy, file);
  write_bytes(copy.string() + "-wal", log);
  const auto held = held_in(copy);
  if (!held || !is_prefix(*held, whole)) {
    ++counts.wrong;
    std::fprintf(stderr, "log_prefix: at %zu: %s\n", at,
                 held ? "not a prefix of what was committed" : held.error().text.c_str());
    return;
  }
  counts.fewest = std::min(counts.fewest, held->readings.size());
  counts.most = std::max(counts.most, held->readings.size());
}

Counts look_everywhere(const fs::path& folder, std::size_t step, const Held& whole) {
  const std::string file = bytes_of(folder / "bench.db"), log = bytes_of(folder / "bench.db-wal");
  const fs::path copy = folder / "copy.db";
  Counts counts;
  for (std::size_t cut = 0; cut <= log.size(); cut += step, ++counts.cuts) {
    look(copy, file, log.substr(0, cut), whole, cut, counts);
  }
  const std::size_t stride = std::max<std::size_t>(1, step / 512) * (frame_head + page);
  for (std::size_t at = log_head; at + frame_head + page <= log.size(); at += stride) {
    std::string damaged = log;
    const std::size_t place = at + (at * 7919) % (frame_head + page);
    damaged[place] = static_cast<char>(damaged[place] ^ 0x10);
    look(copy, file, damaged, whole, place, counts);
    ++counts.flips;
  }
  return counts;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 3) return 64;
  const fs::path folder = argv[1], whole_path = folder / "whole.db";
  fs::copy_file(folder / "bench.db", whole_path);
  fs::copy_file(folder / "bench.db-wal", whole_path.string() + "-wal");
  const auto whole = held_in(whole_path);
  if (!whole) {
    std::fprintf(stderr, "log_prefix: %s\n", whole.error().text.c_str());
    return 1;
  }
  const Counts counts = look_everywhere(folder, std::strtoul(argv[2], nullptr, 10), *whole);
  const nlohmann::ordered_json told{
      {"cuts", counts.cuts},           {"flips", counts.flips},
      {"wrong", counts.wrong},         {"fewest_readings", counts.fewest},
      {"most_readings", counts.most},  {"all_readings", whole->readings.size()},
      {"all_runs", whole->runs.size()}};
  std::printf("%s\n", told.dump().c_str());
  return counts.wrong == 0 ? 0 : 1;
}
