// Many trials of all kinds: each is found, and its rise agrees with the truth within its
// uncertainty.
#include <algorithm>
#include <cmath>

#include "sim/one_trial.hpp"
#include "sim/random.hpp"
#include "tests/analysis/followed.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

/// A trial as rooms, cups, probes and hands give them.
sim::OneTrial drawn_trial(std::uint64_t seed) {
  sim::Random random(seed, 9);
  const auto among = [&](double low, double high) {
    return low * std::pow(high / low, random.uniform());
  };
  sim::OneTrial trial;
  trial.seed = seed;
  trial.rise_K = among(0.5, 20.0) * (random.uniform() < 0.3 ? -1.0 : 1.0);
  trial.leak_after_per_s = among(1e-4, 8e-4);
  trial.leak_before_per_s = trial.leak_after_per_s * (1.0 + random.uniform());
  trial.release_s = among(0.5, 15.0);
  trial.lag_s = among(1.0, 8.0);
  trial.pour_s = 1.0 + 3.0 * random.uniform();
  trial.noise_K = among(0.005, 0.02);
  trial.step_K = std::array{0.001, 0.01, 0.03}[random.below(3)];
  trial.interval_s = std::array{0.2, 0.5, 1.0, 2.0}[random.below(4)];
  trial.start_degC = 20.0 + 2.5 * random.uniform();
  trial.foreperiod_s = 75.0 + 60.0 * random.uniform();
  trial.after_s = 330.0;
  return trial;
}

}  // namespace

TEST_CASE("rises agree with the truth within their uncertainties", "[many]") {
  constexpr std::uint64_t trials = 60;
  std::vector<double> over_u;
  for (std::uint64_t seed = 1; seed <= trials; ++seed) {
    const sim::OneTrial trial = drawn_trial(seed);
    const auto bench = bench_readings(simulate(one_trial_scenario(trial), seed));
    const auto runs = followed(bench);
    INFO("seed " << seed << " rise " << trial.rise_K << " K");
    REQUIRE(runs.size() == 1);
    const RunAnalysis run = analyse_run(run_input(runs[0], bench.roles));
    REQUIRE(run.usable());
    const double error_K = run.rise.value_K - trial.rise_K;
    INFO("interval " << trial.interval_s << " release " << trial.release_s << " lag " << trial.lag_s
                     << " leak " << trial.leak_after_per_s << " noise " << trial.noise_K << " step "
                     << trial.step_K << " error " << error_K << " u " << run.rise.u_K
                     << " mixing error " << run.mixing_time_s.value - trial.foreperiod_s << " u "
                     << run.mixing_time_s.u);
    over_u.push_back(std::abs(error_K) / run.rise.u_K);
    CHECK(over_u.back() <= 4.0);
    CHECK(run.rise.u_K < 0.1);
  }
  const auto share_within = [&](double factor) {
    const auto count =
        std::count_if(over_u.begin(), over_u.end(), [&](double ratio) { return ratio <= factor; });
    return static_cast<double>(count) / trials;
  };
  INFO("within u " << share_within(1.0) << ", 2u " << share_within(2.0) << ", 3u "
                   << share_within(3.0));
  CHECK(share_within(1.0) >= 0.5);
  CHECK(share_within(2.5) >= 0.9);
}
