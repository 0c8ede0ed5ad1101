// What becomes of probes, said once a change.
#include "daemon/bench/probe_watch.hpp"

#include <random>

#include "tests/catch.hpp"

using namespace nestcup;
using namespace nestcup::daemon;

namespace {

drivers::ProbeCounts read_at(double time_s, std::uint64_t readings) {
  drivers::ProbeCounts counts;
  counts.last_us = to_us(time_s);
  counts.last_degC = 21.5;
  counts.readings = readings;
  return counts;
}

std::string said(const std::vector<ProbeNews>& news) {
  std::string text;
  for (const ProbeNews& item : news) text += item.text + "\n";
  return text;
}

/// Readings with white noise, shown with a step.
void feed(drivers::SameValues& same, int readings, double noise_K, double step_K) {
  std::mt19937_64 random(3);
  std::normal_distribution<double> noise(21.503, noise_K);
  for (int i = 0; i < readings; ++i) same.take(std::round(noise(random) / step_K) * step_K);
}

}  // namespace

TEST_CASE("a probe that falls silent is told once, with its faults, and its return, too") {
  ProbeWatch watch({"cup"}, 10.0, 0);
  CHECK(watch.look({{}}, to_us(5)).empty());
  CHECK(watch.health(0) == ProbeHealth::starting);
  CHECK(said(watch.look({read_at(6, 1)}, to_us(7))) == "probe cup: reads\n");
  CHECK(watch.look({read_at(8, 2)}, to_us(9)).empty());
  drivers::ProbeCounts nonsense = read_at(8, 2);
  for (int i = 0; i < 12; ++i) nonsense.faults.add(drivers::LineFault::bad_number);
  CHECK(watch.look({nonsense}, to_us(12)).empty());
  CHECK(said(watch.look({nonsense}, to_us(19))) ==
        "probe cup: no reading for 10 s, but faults: 12 bad_number\n");
  CHECK(watch.look({nonsense}, to_us(30)).empty());
  CHECK(said(watch.look({read_at(31, 3)}, to_us(31))) == "probe cup: reads again\n");
}

TEST_CASE("a probe that never reads is told, too") {
  ProbeWatch watch({"cup", "added"}, 10.0, 0);
  CHECK(said(watch.look({read_at(11, 3), {}}, to_us(11))) ==
        "probe cup: reads\nprobe added: no reading for 10 s\n");
}

TEST_CASE("a source that freezes is seen where its digits follow the noise") {
  drivers::SameValues same;
  feed(same, 1000, 0.008, 0.01);
  CHECK_FALSE(same.is_frozen());
  for (int i = 0; i < 160; ++i) same.take(21.5);
  CHECK(same.is_frozen());
  ProbeWatch watch({"cup"}, 10.0, 0);
  drivers::ProbeCounts counts = read_at(1, 1160);
  counts.same = same;
  CHECK_THAT(said(watch.look({counts}, to_us(2))), ContainsSubstring("same to the last digit"));
  feed(same, 5, 0.008, 0.01);
  CHECK_FALSE(same.is_frozen());
}

TEST_CASE("a display that hides its noise may stand still for ever") {
  for (const double noise_K : {0.0, 0.005, 0.02}) {
    drivers::SameValues same;
    feed(same, 20'000, noise_K, 0.1);
    for (int i = 0; i < 20'000; ++i) same.take(21.5);
    INFO(noise_K);
    CHECK_FALSE(same.is_frozen());
  }
}
