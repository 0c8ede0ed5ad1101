// fill_store STORE READINGS RUNS: a store as a bench leaves it that was on for weeks: simulated
// runs, and readings of cup, second vessel and room twice a second around and behind them, up to
// now.
#include <fmt/format.h>

#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <stdexcept>
#include <vector>

#include "tests/record/simulated_store.hpp"

namespace {

using namespace nestcup;

constexpr TimeUs step_us = us_per_s / 2;
constexpr int probes = 3;
constexpr std::int64_t batch = 30'000;

TimeUs unix_now() {
  return std::chrono::duration_cast<std::chrono::microseconds>(
             std::chrono::system_clock::now().time_since_epoch())
      .count();
}

template <class T>
T needed(Result<T> result) {
  if (!result) throw std::runtime_error(result.error().text);
  return std::move(result).value();
}

/// A room that swings by two degrees in a day, and two vessels that follow it.
double temperature_degC(TimeUs time_us, int probe) {
  const double day = to_s(time_us) / 86'400.0;
  return std::round((21.0 + std::sin(6.283185307 * day - 0.4 * probe)) * 100.0) / 100.0;
}

void fill(const std::string& path, std::int64_t wanted) {
  Store store = needed(Store::open(path, StoreMode::write));
  std::vector<StoredProbe> list;
  for (const ProbeRole role : {ProbeRole::cup, ProbeRole::added, ProbeRole::room}) {
    list.push_back({std::string(role_name(role)), role, "degC", "{}"});
  }
  needed(store.register_probes(list));
  std::int64_t left = wanted - needed(store.reading_count());
  TimeUs time_us = unix_now() - left / probes * step_us;
  while (left >= probes) {
    std::vector<Reading> readings;
    for (; readings.size() < batch && left >= probes; left -= probes, time_us += step_us) {
      for (int probe = 0; probe < probes; ++probe) {
        const double degC = temperature_degC(time_us, probe);
        readings.push_back({static_cast<std::uint16_t>(probe), time_us + probe, degC, degC});
      }
    }
    if (auto added = store.add(readings, {}); !added) throw std::runtime_error(added.error().text);
    needed(store.checkpoint(false));
  }
  needed(store.checkpoint(true));
}

}  // namespace

int main(int count, char** words) {
  if (count != 4) return 64;
  try {
    make_simulated_store(words[1], {.runs = std::atoi(words[3]), .kinds = 2});
    fill(words[1], std::atoll(words[2]));
  } catch (const std::exception& problem) {
    fmt::print(stderr, "fill_store: {}\n", problem.what());
    return 74;
  }
}
