// Whether the stated uncertainty of the rise can be believed: Monte Carlo over the grid of the
// accuracy benchmark, each trial through the follower and the whole analysis.
#include <fmt/format.h>

#include <cmath>
#include <future>

#include "tests/bench/trial_result.hpp"
#include "tests/catch.hpp"

using namespace nestcup;
using namespace nestcup::bench;

namespace {

struct Coverage {
  int drawn = 0, found = 0;
  int within_u = 0, within_2u = 0;

  void add(double error_over_u) {
    ++found;
    if (std::abs(error_over_u) <= 1.0) ++within_u;
    if (std::abs(error_over_u) <= 2.0) ++within_2u;
  }
  void add(const Coverage& other) {
    drawn += other.drawn;
    found += other.found;
    within_u += other.within_u;
    within_2u += other.within_2u;
  }
  [[nodiscard]] double percent(int count) const { return 100.0 * count / found; }
};

/// A trial of the grid, of those with a reading every second or every two: they take the least
/// time.
Trial small_trial(std::mt19937_64& random, Display display) {
  Trial trial = drawn_trial(random, display);
  while (trial.interval_s < 1.0) trial = drawn_trial(random, display);
  return trial;
}

Coverage covered_in(Display display, int wanted, std::uint64_t seed) {
  std::mt19937_64 random(seed);
  Coverage coverage;
  // A trial whose mixing is not found has no uncertainty to be judged: another is drawn.
  while (coverage.found < wanted && coverage.drawn < wanted + wanted / 50) {
    const Trial trial = small_trial(random, display);
    ++coverage.drawn;
    const std::vector<FollowedRun> runs = followed_runs(readings_of(trial, random));
    if (runs.size() != 1) continue;
    const RunAnalysis run = analyse_run(runs[0].input);
    if (run.usable()) coverage.add((run.rise.value_K - trial.rise_K) / run.rise.u_K);
  }
  return coverage;
}

/// Two threads with a half of the trials each, from the seed and the next one.
Coverage covered(Display display, int wanted, std::uint64_t seed) {
  auto other = std::async(std::launch::async, covered_in, display, wanted / 2, seed + 1);
  Coverage coverage = covered_in(display, wanted / 2, seed);
  coverage.add(other.get());
  return coverage;
}

/// The figures, shown whether the test passes or not.
void tell(const std::string& name, std::uint64_t seed, const Coverage& coverage) {
  WARN(fmt::format(
      "{} displays, seeds from {}: {} trials, {} of them not found; +-u covers {:.2f} %, "
      "+-2u {:.2f} % (standard deviation of the latter {:.2f} %)",
      name, seed, coverage.drawn, coverage.drawn - coverage.found,
      coverage.percent(coverage.within_u), coverage.percent(coverage.within_2u),
      100.0 * std::sqrt(0.95 * 0.05 / coverage.found)));
}

}  // namespace

TEST_CASE("plus and minus two u cover the true rise as often as they claim, fine displays") {
  constexpr std::uint64_t seed = 95001;
  const Coverage coverage = covered(Display::fine, 5000, seed);
  tell("fine", seed, coverage);
  REQUIRE(coverage.found == 5000);
  CHECK(coverage.percent(coverage.within_2u) >= 94.0);
  CHECK(coverage.percent(coverage.within_2u) <= 97.0);
}

TEST_CASE("plus and minus two u cover the true rise at least as often, coarse displays") {
  constexpr std::uint64_t seed = 95003;
  // Each takes half a second, as digits that change seldom are weighed by Monte Carlo; two standard
  // deviations of so few trials are taken off.
  constexpr int trials = 100;
  const Coverage coverage = covered(Display::coarse, trials, seed);
  tell("coarse", seed, coverage);
  REQUIRE(coverage.found == trials);
  CHECK(coverage.percent(coverage.within_2u) >= 94.0 - 4.4);
}
