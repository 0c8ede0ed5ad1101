// count_work WHAT FOLDER: does a fixed piece of the daemon's work, the same each time, for an
// instruction counter to look at (instructions_test.py); only what counted_work() does is meant.
//   decode   ten thousand lines of three columns become readings
//   store    twenty thousand readings go into a store in FOLDER, in commits of five hundred
//   follow   an hour of three probes goes through the follower, in which nothing happens
//   analyse  a trial is found, and its rise worked out
#include <fmt/format.h>

#include <cstdio>
#include <functional>
#include <map>
#include <memory>
#include <stdexcept>
#include <string>
#include <vector>

#include "core/analysis/run/run_follower.hpp"
#include "core/record/replay.hpp"
#include "core/store/store.hpp"
#include "drivers/port_decoder.hpp"
#include "sim/scenario.hpp"
#include "sim/simulate.hpp"

namespace {

using namespace nestcup;
using Work = std::function<std::size_t()>;  ///< returns how much came of it

template <class T>
T needed(Result<T> result) {
  if (!result) throw std::runtime_error(result.error().text);
  return std::move(result).value();
}

std::vector<Reading> quiet_readings(std::size_t count) {
  std::vector<Reading> readings;
  for (std::size_t i = 0; i < count; ++i) {
    const double degC = 21.0 + 0.01 * static_cast<double>(i * 7919 % 5);
    const auto time_us = static_cast<TimeUs>(i / 3) * us_per_s / 2 + static_cast<TimeUs>(i % 3);
    readings.push_back({static_cast<std::uint16_t>(i % 3), time_us, degC, degC});
  }
  return readings;
}

Work decode() {
  PortSettings port;
  port.name = "board";
  std::vector<ProbeSettings> probes(3);
  for (int column = 1; column <= 3; ++column) {
    ProbeSettings& probe = probes[static_cast<std::size_t>(column - 1)];
    probe.name = probe.channel.name = fmt::format("p{}", column);
    probe.channel.column = column;
  }
  auto taken = std::make_shared<std::size_t>(0);
  std::shared_ptr<drivers::PortDecoder> decoder = needed(drivers::PortDecoder::make(
      port, probes, [taken](std::size_t, TimeUs, double, double) { ++*taken; }, {}));
  return [decoder, taken] {
    for (TimeUs i = 0; i < 10'000; ++i) {
      const std::string line =
          fmt::format("21.{:02},22.{:02},23.{:02}\r\n", i % 90, i % 80, i % 70);
      decoder->feed(line, i * us_per_s / 2);
    }
    return *taken;
  };
}

Work store(const std::string& folder) {
  auto store = std::make_shared<Store>(needed(Store::open(folder + "/work.db", StoreMode::write)));
  needed(store->register_probes(std::vector<StoredProbe>{{"cup", ProbeRole::cup, "degC", "{}"},
                                                         {"added", ProbeRole::added, "degC", "{}"},
                                                         {"room", ProbeRole::room, "degC", "{}"}}));
  return [store, readings = quiet_readings(20'000)] {
    for (std::size_t begin = 0; begin < readings.size(); begin += 500) {
      if (auto added = store->add(std::span(readings).subspan(begin, 500), {}); !added) {
        throw std::runtime_error(added.error().text);
      }
    }
    return static_cast<std::size_t>(needed(store->reading_count()));
  };
}

Work follow() {
  const std::vector<ProbeRole> roles{ProbeRole::cup, ProbeRole::added, ProbeRole::room};
  auto follower = std::make_shared<RunFollower>(RunFollower::Settings{}, roles);
  return [follower, readings = quiet_readings(3 * 7200)] {
    for (const Reading& reading : readings) follower->feed(reading);
    return readings.size();
  };
}

Work analyse() {
  const auto scenario = needed(sim::read_scenario(SCENARIOS "/one-trial.toml"));
  const Trace trace =
      needed(parse_trace(sim::trace_csv(sim::simulate(scenario, scenario.seed)), "trial.csv"));
  return [trace] { return replay_trace(trace, {}, [] { return std::string("work"); }).size(); };
}

}  // namespace

extern "C" [[gnu::noinline]] std::size_t counted_work(const Work& work) {
  return work();
}

int main(int count, char** words) {
  if (count != 3) return 64;
  const std::map<std::string, std::function<Work()>> known{
      {"decode", decode},
      {"store", [&] { return store(words[2]); }},
      {"follow", follow},
      {"analyse", analyse}};
  const auto found = known.find(words[1]);
  if (found == known.end()) return 64;
  try {
    fmt::print("{}\n", counted_work(found->second()));
  } catch (const std::exception& problem) {
    fmt::print(stderr, "count_work: {}\n", problem.what());
    return 74;
  }
}
