// A bench that is started again and again finds the runs that it would have found.
#include "daemon/store/stored_feed.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "sim/one_trial.hpp"
#include "tests/analysis/followed.hpp"
#include "tests/catch.hpp"

using namespace nestcup;
using namespace nestcup::daemon;

namespace {

constexpr RunFollower::Settings short_after{.after_period_s = 90.0};

RunSpan span_of(const FinishedRun& run) {
  return {run.readings.front().time_us, run.readings.back().time_us, false};
}

/// What a store would say of the runs found so far, and of all readings up to here.
Past past_of(const BenchReadings& bench, std::size_t count, const std::vector<FinishedRun>& runs) {
  Past past;
  past.readings.assign(bench.readings.begin(),
                       bench.readings.begin() + static_cast<std::ptrdiff_t>(count));
  if (runs.empty()) return past;
  past.run = span_of(runs.back());
  if (runs.size() > 1) {
    const TimeUs former_us = span_of(runs[runs.size() - 2]).last_us;
    past.run->behind_another = std::ranges::none_of(past.readings, [&](const Reading& reading) {
      return bench.roles[reading.probe] == ProbeRole::cup && reading.time_us > former_us &&
             reading.time_us < past.run->first_us;
    });
  }
  std::erase_if(past.readings,
                [&](const Reading& one) { return one.time_us < past.run->first_us; });
  return past;
}

/// A daemon that is started again every so often: a new follower, which gets what was stored.
std::vector<FinishedRun> restarted(const BenchReadings& bench, double every_s, double from_s) {
  std::vector<FinishedRun> runs;
  RunFollower follower(short_after, bench.roles);
  TimeUs next_us = to_us(from_s);
  for (std::size_t i = 0; i < bench.readings.size(); ++i) {
    if (bench.readings[i].time_us >= next_us) {
      next_us += to_us(every_s);
      follower = RunFollower(short_after, bench.roles);
      std::ranges::move(feed_stored(follower, past_of(bench, i, runs), bench.roles.size()),
                        std::back_inserter(runs));
    }
    follower.feed(bench.readings[i]);
    while (auto run = follower.take_finished()) runs.push_back(std::move(*run));
  }
  return runs;
}

std::vector<std::pair<TimeUs, TimeUs>> spans(const std::vector<FinishedRun>& runs) {
  std::vector<std::pair<TimeUs, TimeUs>> found;
  for (const FinishedRun& run : runs) found.emplace_back(span_of(run).first_us, run.onset_us);
  return found;
}

}  // namespace

/// Readings of a daemon that is away for a while before each start.
BenchReadings without(BenchReadings bench, double every_s, double from_s, double away_s) {
  std::erase_if(bench.readings, [&](const Reading& reading) {
    const double into_s = std::fmod(to_s(reading.time_us) - from_s + away_s, every_s);
    return into_s >= 0.0 && into_s < away_s;
  });
  return bench;
}

TEST_CASE("a bench that is started anew finds the runs that it would have found", "[many]") {
  sim::Scenario scenario = equal_trials(3);
  scenario.interval_s = 1.0;
  const BenchReadings all = bench_readings(sim::simulate(scenario, 3));
  for (const auto& [every_s, away_s] : {std::pair{29.0, 9.0}, {290.0, 5.0}}) {
    for (double from_s = 10.0; from_s < every_s; from_s += every_s / 2.0) {
      INFO("every " << every_s << " s from " << from_s << " s on, away for " << away_s << " s");
      const BenchReadings bench = without(all, every_s, from_s, away_s);
      const auto expected = followed(bench, short_after);
      CHECK(expected.size() == 3);
      CHECK(spans(restarted(bench, every_s, from_s)) == spans(expected));
    }
  }
}

TEST_CASE("behind a calibration stored readings are followed anew") {
  const sim::SimulatedRun run = sim::simulate(sim::one_trial_scenario(sim::OneTrial{}), 3);
  std::vector<Reading> readings;
  for (std::size_t i = 0; i < run.time_s.size(); ++i) {
    const double degC = run.probes[0].temperature_degC[i];
    readings.push_back({0, to_us(run.time_s[i]), degC, degC});
  }
  Past past;
  past.readings = readings;
  RunFollower plain({}, {ProbeRole::cup}), calibrated = plain;
  CHECK(feed_stored(plain, past, 1).empty());
  plain.end_of_data();
  CHECK(plain.take_finished());
  // Within the run: what is left is an after period alone.
  const TimeUs within_us = to_us(run.truth.at(0).mixing_time_s + 60.0);
  past.events = {{within_us, "calibration", "{}"}};
  CHECK(feed_stored(calibrated, past, 1).empty());
  calibrated.end_of_data();
  CHECK_FALSE(calibrated.take_finished());
}
